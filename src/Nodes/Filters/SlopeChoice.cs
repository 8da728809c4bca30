using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Filters;

/// <summary>How steep a low-pass or high-pass is: asked in one way by both.</summary>
internal static class SlopeChoice
{
    public static double ReadSlopeDbPerOctave(IParameterSource source, string name) =>
        source.OneOf(
            name, SectionDesign.SlopesDbPerOctave, otherwise: 24,
            "How steep: 12 is gentle, 24 is usual, 48 rings and shifts phase most.");

    /// <summary>Refuses, at the alignment, a slope that Linkwitz-Riley does not have.</summary>
    public static Alignment ReadAlignment(IParameterSource source, string name, double slopeDbPerOctave)
    {
        var alignment = source.Choice(
            name, Alignment.Butterworth,
            "butterworth: -3 dB at the frequency, the flattest pass band. linkwitzRiley: -6 dB there, for splitting a sound in two: low and high add up flat "
            + "(at 12 and 36 dB/oct with the polarity of one flipped).");
        if (!SectionDesign.Exists(alignment, slopeDbPerOctave))
        {
            source.Refuse(
                name, $"linkwitzRiley has no slope of {ParameterName.Write(slopeDbPerOctave)} dB an octave, only 12, 24, 36 and 48",
                "Take one of these slopes, or alignment butterworth");
        }

        return alignment;
    }
}
