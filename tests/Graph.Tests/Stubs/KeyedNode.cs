using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>Its signal times its key, frame by frame: a key that is one frame off shows.</summary>
internal sealed class KeyedNode : INode
{
    public static NodeType Type { get; } = NodeType.Define("keyed", 1, "Signal times key.", [Port.Input, Port.Key], _ => 0, _ => new KeyedNode());

    public int LatencyFrames(int sampleRateHz) => 0;

    public bool IsAtRest => true;

    public void Prepare(NodeFormat format)
    {
        // Keeps nothing from one frame to the next.
    }

    public void Process(in Block block)
    {
        for (var channel = 0; channel < block.Output.Channels; channel++)
        {
            var key = block.Inputs[1][Math.Min(channel, block.Inputs[1].Channels - 1)];
            for (var frame = 0; frame < block.Frames; frame++)
                block.Output[channel][frame] = block.Input[channel][frame] * key[frame];
        }
    }
}
