using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Filters;

/// <summary>What a bell is asked to do.</summary>
/// <param name="FrequencyHz">Centre.</param>
/// <param name="Q">Narrowness: 1 is about an octave and a half, 4 a third of an octave.</param>
/// <param name="GainDb">At the centre.</param>
public sealed record BellParameters(double FrequencyHz, double Q, double GainDb)
{
    /// <summary>Names, bounds and defaults.</summary>
    public static BellParameters Read(IParameterSource source) => new(
        source.FrequencyHz(nameof(FrequencyHz), min: 10, max: 20000, otherwise: null, "The centre of the band."),
        source.Number(nameof(Q), min: 0.1, max: 40, otherwise: 1, "How narrow: 1 is about an octave and a half, 4 a third of an octave. Narrow and high rings."),
        source.Number(nameof(GainDb), min: -24, max: 24, otherwise: null, "Gain at the centre; 0 changes nothing."));
}

/// <summary>Raises or lowers a band for good.</summary>
public sealed class BellNode(BellParameters parameters) : SectionNode
{
    /// <summary>The type.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "bell", version: 1,
        "Raises or lowers a band around a frequency, for good; keyedCut does it only while the anchor hits. "
        + "A boost and a cut with the same numbers cancel. Boosting lows costs headroom that no loudness meter shows: try cutting elsewhere first.",
        [Port.Input], BellParameters.Read, parameters => new BellNode(parameters));

    /// <inheritdoc/>
    public override IReadOnlyList<Section> Design(int sampleRateHz) =>
        [SectionDesign.Bell(parameters.FrequencyHz, parameters.Q, parameters.GainDb, sampleRateHz)];
}
