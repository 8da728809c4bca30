using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Speakers;

namespace RenderGraph.Nodes.Filters;

/// <summary>Which small speaker is modelled.</summary>
/// <param name="SpeakerHz">Its corner.</param>
public sealed record SpeakerParameters(double SpeakerHz)
{
    /// <summary>Names, bounds and defaults.</summary>
    public static SpeakerParameters Read(IParameterSource source) => new(
        source.OneOf(nameof(SpeakerHz), SmallSpeaker.CornersHz, otherwise: SmallSpeaker.CornersHz[0], "The corner of the speaker, below which it falls by 24 dB an octave."));
}

/// <summary>What a small speaker would leave of a sound: see <see cref="SmallSpeaker"/>. Above its corner the level stays.</summary>
public sealed class SpeakerNode(SpeakerParameters parameters) : SectionNode
{
    /// <summary>The type. It stands in no graph: an output asks for it by its <c>speakerHz</c>.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "speaker", version: 1, "Lets an output sound as a small speaker would play it.", [Port.Input], SpeakerParameters.Read, parameters => new SpeakerNode(parameters));

    /// <inheritdoc/>
    public override IReadOnlyList<Section> Design(int sampleRateHz) => SmallSpeaker.Sections(parameters.SpeakerHz, sampleRateHz);
}
