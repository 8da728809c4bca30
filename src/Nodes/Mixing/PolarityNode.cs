using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Mixing;

/// <summary>What a polarity flip is asked to do.</summary>
/// <param name="Channels">Which side is flipped.</param>
public sealed record PolarityParameters(FlippedChannels Channels)
{
    /// <summary>Names, bounds and defaults.</summary>
    public static PolarityParameters Read(IParameterSource source) => new(
        source.Choice(
            nameof(Channels), FlippedChannels.Both,
            "Which side is flipped: one side only mends a stereo part whose lows vanish in mono. A mono part is flipped whichever is asked for."));
}

/// <summary>Turns a signal upside down.</summary>
public sealed class PolarityNode(PolarityParameters parameters) : INode
{
    /// <summary>The type.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "polarity", version: 1,
        "Turns a signal upside down. When two parts cancel each other in the lows on every hit, flipping one brings the lows back; "
        + "if they cancel only on some hits, the phase between them wanders and no flip will help: take a keyedCut.",
        [Port.Input], PolarityParameters.Read, parameters => new PolarityNode(parameters));

    /// <inheritdoc/>
    public int LatencyFrames(int sampleRateHz) => 0;

    /// <inheritdoc/>
    public void Prepare(NodeFormat format)
    {
        // Keeps nothing from one frame to the next.
    }

    /// <inheritdoc/>
    public bool IsAtRest => true;

    /// <inheritdoc/>
    public void Process(in Block block)
    {
        for (var channel = 0; channel < block.Output.Channels; channel++)
            Planes.Scale(block.Input[channel], IsFlipped(channel, block.Output.Channels) ? -1 : 1, block.Output[channel]);
    }

    private bool IsFlipped(int channel, int channels) => channels == 1 || parameters.Channels switch
    {
        FlippedChannels.Left => channel == 0,
        FlippedChannels.Right => channel == 1,
        _ => true,
    };
}
