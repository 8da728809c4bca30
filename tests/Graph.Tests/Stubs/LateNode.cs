using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>Gives its input latencyFrames later, and says so: nothing but the engine's alignment may show it.</summary>
internal sealed class LateNode(int latencyFrames) : INode
{
    private Queue<double>[] _held = [];

    public static NodeType Type { get; } = NodeType.Define(
        "late", 1, "Late.", [Port.Input], source => (int)source.Number(nameof(LatencyFrames), 0, 100_000, null, "By so much."), latency => new LateNode(latency));

    public int LatencyFrames(int sampleRateHz) => latencyFrames;

    public bool IsAtRest => _held.All(plane => plane.All(sample => sample == 0));

    public void Prepare(NodeFormat format) =>
        _held = [.. Enumerable.Range(0, format.OutputChannels).Select(_ => new Queue<double>(new double[latencyFrames]))];

    public void Process(in Block block)
    {
        for (var channel = 0; channel < block.Output.Channels; channel++)
        {
            for (var frame = 0; frame < block.Frames; frame++)
            {
                _held[channel].Enqueue(block.Input[channel][frame]);
                block.Output[channel][frame] = _held[channel].Dequeue();
            }
        }
    }
}
