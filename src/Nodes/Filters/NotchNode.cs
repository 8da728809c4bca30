using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Filters;

/// <summary>What a notch is asked to do.</summary>
/// <param name="FrequencyHz">What is taken out.</param>
/// <param name="Q">Narrowness: the -3 dB points lie FrequencyHz / Q apart.</param>
public sealed record NotchParameters(double FrequencyHz, double Q)
{
    /// <summary>Names, bounds and defaults.</summary>
    public static NotchParameters Read(IParameterSource source) => new(
        source.FrequencyHz(nameof(FrequencyHz), min: 10, max: 20000, otherwise: null, "The frequency taken out."),
        source.Number(nameof(Q), min: 0.1, max: 40, otherwise: 8, "How narrow: the band that loses more than 3 dB is frequencyHz / q wide."));
}

/// <summary>Takes one frequency out.</summary>
public sealed class NotchNode(NotchParameters parameters) : SectionNode
{
    /// <summary>The type.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "notch", version: 1,
        "Takes one frequency out altogether: mains hum, or a single note that booms. A notch rings for about Q periods of its frequency, "
        + "so take no more Q than the fault needs; for a boom that should only be smaller, take a bell.",
        [Port.Input], NotchParameters.Read, parameters => new NotchNode(parameters));

    /// <inheritdoc/>
    public override IReadOnlyList<Section> Design(int sampleRateHz) =>
        [SectionDesign.Notch(parameters.FrequencyHz, parameters.Q, sampleRateHz)];
}
