using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Filters;

/// <summary>What a low-pass is asked to do.</summary>
/// <param name="FrequencyHz">The corner: -3 dB (Butterworth) or -6 dB (Linkwitz-Riley).</param>
/// <param name="SlopeDbPerOctave">How steep.</param>
/// <param name="Alignment">How the sections are tuned to each other.</param>
public sealed record LowPassParameters(double FrequencyHz, double SlopeDbPerOctave, Alignment Alignment)
{
    /// <summary>Names, bounds and defaults.</summary>
    public static LowPassParameters Read(IParameterSource source)
    {
        var frequencyHz = source.FrequencyHz(
            nameof(FrequencyHz), min: 10, max: 20000, otherwise: null,
            "The corner. Above it the sound falls away.");
        var slopeDbPerOctave = SlopeChoice.ReadSlopeDbPerOctave(source, nameof(SlopeDbPerOctave));
        return new(frequencyHz, slopeDbPerOctave, SlopeChoice.ReadAlignment(source, nameof(Alignment), slopeDbPerOctave));
    }
}

/// <summary>Takes away what lies above a frequency.</summary>
public sealed class LowPassNode(LowPassParameters parameters) : SectionNode
{
    /// <summary>The type.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "lowPass", version: 1,
        "Takes away what lies above a frequency: makes a bus to hear the low end alone, or the low path of a split. "
        + "Such a bus sounds quiet and tempts one to turn up: start low, and come back down before listening to the whole mix.",
        [Port.Input], LowPassParameters.Read, parameters => new LowPassNode(parameters), isMonitoring: true);

    /// <inheritdoc/>
    public override IReadOnlyList<Section> Design(int sampleRateHz) =>
        SectionDesign.LowPass(parameters.FrequencyHz, parameters.SlopeDbPerOctave, parameters.Alignment, sampleRateHz);
}
