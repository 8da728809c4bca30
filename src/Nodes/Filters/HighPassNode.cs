using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Filters;

/// <summary>What a high-pass is asked to do.</summary>
/// <param name="FrequencyHz">The corner: -3 dB (Butterworth) or -6 dB (Linkwitz-Riley).</param>
/// <param name="SlopeDbPerOctave">How steep.</param>
/// <param name="Alignment">How the sections are tuned to each other.</param>
public sealed record HighPassParameters(double FrequencyHz, double SlopeDbPerOctave, Alignment Alignment)
{
    /// <summary>Names, bounds and defaults.</summary>
    public static HighPassParameters Read(IParameterSource source)
    {
        var frequencyHz = source.FrequencyHz(
            nameof(FrequencyHz), min: 10, max: 20000, otherwise: null,
            "The corner. Below it the sound falls away; raise it until the part thins out, then go back down.");
        var slopeDbPerOctave = SlopeChoice.ReadSlopeDbPerOctave(source, nameof(SlopeDbPerOctave));
        return new(frequencyHz, slopeDbPerOctave, SlopeChoice.ReadAlignment(source, nameof(Alignment), slopeDbPerOctave));
    }
}

/// <summary>Takes away what lies below a frequency.</summary>
public sealed class HighPassNode(HighPassParameters parameters) : SectionNode
{
    /// <summary>The type.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "highPass", version: 1,
        "Takes away what lies below a frequency: rumble and lows that a part does not need, so that they leave the anchor's room. "
        + "It shifts phase above the corner too, so peaks can rise and a part can lean against its other layers: compare before and after. "
        + "High-passing everything is a mistake: it thins the mix and moves every part a little.",
        [Port.Input], HighPassParameters.Read, parameters => new HighPassNode(parameters));

    /// <inheritdoc/>
    public override IReadOnlyList<Section> Design(int sampleRateHz) =>
        SectionDesign.HighPass(parameters.FrequencyHz, parameters.SlopeDbPerOctave, parameters.Alignment, sampleRateHz);
}
