namespace RenderGraph.Nodes.Dsp;

/// <summary>Between decibels and amplitude, in portable arithmetic.</summary>
public static class Decibels
{
    /// <summary>What amplitude 0, and any below this level, is called: far under the last bit of any file.</summary>
    public const double Floor = -400;

    // log2(10) / 20 and its inverse.
    private const double Log2PerDecibel = 0.16609640474436813;
    private const double DecibelsPerLog2 = 6.020599913279624;

    /// <summary>The factor for a level: exactly 1 for 0 dB, otherwise within 1e-14 of the true factor between -400 and 400 dB.</summary>
    public static double ToAmplitude(double db) => PortableMath.Exp2(db * Log2PerDecibel);

    /// <summary>The level of an amplitude: exactly 0 dB for 1, never below <see cref="Floor"/>; the sign is ignored.</summary>
    public static double FromAmplitude(double amplitude)
    {
        var db = DecibelsPerLog2 * PortableMath.Log2(Math.Abs(amplitude));
        return db < Floor ? Floor : db;
    }

    /// <summary>The level of a mean square, never below <see cref="Floor"/>: a full-scale sine, 0.5, is -3.0 dB.</summary>
    public static double FromPower(double power) => power > 0 ? Math.Max(Floor, DecibelsPerLog2 / 2 * PortableMath.Log2(power)) : Floor;
}
