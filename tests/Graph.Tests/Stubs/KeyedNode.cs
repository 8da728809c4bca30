using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>Its signal times its key, frame by frame: a key that is one frame off shows. It may want its key earlier; it then holds it back itself.</summary>
internal sealed class KeyedNode(int leadFrames) : INode
{
    private Queue<double>[] _held = [];

    public static NodeType Type { get; } = NodeType.Define(
        "keyed", 1, "Signal times key.", [Port.Input, Port.Key], source => (int)source.Number("LeadFrames", 0, 1000, 0, "Wants its key so much earlier."),
        leadFrames => new KeyedNode(leadFrames));

    public bool IsAtRest => leadFrames == 0;

    public int LatencyFrames(int sampleRateHz) => 0;

    public int KeyLeadFrames(int sampleRateHz) => leadFrames;

    public void Prepare(NodeFormat format) =>
        _held = [.. format.Inputs.Skip(1).Take(1).SelectMany(key => Enumerable.Range(0, key.Channels)).Select(_ => new Queue<double>(new double[leadFrames]))];

    public void Process(in Block block)
    {
        for (var frame = 0; frame < block.Frames; frame++)
        {
            for (var channel = 0; channel < _held.Length; channel++)
                _held[channel].Enqueue(block.Inputs[1][channel][frame]);
            for (var channel = 0; channel < block.Output.Channels; channel++)
                block.Output[channel][frame] = block.Input[channel][frame] * _held[Math.Min(channel, _held.Length - 1)].Peek();
            foreach (var held in _held)
                held.Dequeue();
        }
    }
}
