using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Loudness;

/// <summary>Between weighted power and LUFS.</summary>
internal static class LoudnessScale
{
    private const double DecibelsPerOctave = 3.0102999566398120; // of power: 10 log10(2)

    /// <summary>-0.691 + 10 log10(power). Only for power above 0.</summary>
    public static double LufsOf(double power) => KWeighting.OffsetDb + (DecibelsPerOctave * PortableMath.Log2(power));

    /// <summary>The power that reads so many LUFS.</summary>
    public static double PowerOf(double lufs) => PortableMath.Exp2((lufs - KWeighting.OffsetDb) / DecibelsPerOctave);
}
