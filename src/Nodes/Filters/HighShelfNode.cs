using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Filters;

/// <summary>What a high shelf is asked to do.</summary>
/// <param name="FrequencyHz">Where half the gain, in dB, is reached.</param>
/// <param name="Q">Steepness of the step; above 0.71 it overshoots on both sides.</param>
/// <param name="GainDb">Far above the frequency.</param>
public sealed record HighShelfParameters(double FrequencyHz, double Q, double GainDb)
{
    /// <summary>Names, bounds and defaults.</summary>
    public static HighShelfParameters Read(IParameterSource source) => new(
        source.FrequencyHz(nameof(FrequencyHz), min: 10, max: 20000, otherwise: null, "Where half the gain, in dB, is reached; above it comes the rest."),
        source.Number(nameof(Q), min: 0.1, max: 4, otherwise: 0.7071, "How sharp the step: 0.7071 is as steep as it gets without overshooting on either side."),
        source.Number(nameof(GainDb), min: -24, max: 24, otherwise: null, "Gain far above the frequency; 0 changes nothing."));
}

/// <summary>Raises or lowers what lies above a frequency.</summary>
public sealed class HighShelfNode(HighShelfParameters parameters) : SectionNode
{
    /// <summary>The type.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "highShelf", version: 1,
        "Raises or lowers everything above a frequency: brings out or dulls a part's attack and air without touching its lows.",
        [Port.Input], HighShelfParameters.Read, parameters => new HighShelfNode(parameters));

    /// <inheritdoc/>
    public override IReadOnlyList<Section> Design(int sampleRateHz) =>
        [SectionDesign.HighShelf(parameters.FrequencyHz, parameters.Q, parameters.GainDb, sampleRateHz)];
}
