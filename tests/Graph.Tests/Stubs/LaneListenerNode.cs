using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>A lane that must first hear its own input; what it gives is then as much louder as the loudest sample was.</summary>
internal sealed class LaneListenerNode(LaneParameters parameters) : LaneNode(parameters), IListeningNode
{
    private double _heard;
    private double _recalled = double.NaN;

    public static new NodeType Type { get; } = NodeType.Define(
        "laneListener", 1, "Remembers, louder.", [Port.Input], source => LaneParameters.Read(source, canRunInRow: true),
        parameters => new LaneListenerNode(parameters));

    public override string LaneKind => "listening " + base.LaneKind;

    public bool MustListen => true;

    public int ListenInput => 0;

    public override void Prepare(NodeFormat format)
    {
        base.Prepare(format);
        (_heard, _recalled) = (0, double.NaN);
    }

    public void Listen(long songFrame, Signal heard)
    {
        for (var channel = 0; channel < heard.Channels; channel++)
        {
            foreach (var sample in heard[channel])
                _heard = Math.Max(_heard, Math.Abs(sample));
        }
    }

    public double Settle() => _heard;

    public void Recall(double settled) => _recalled = settled;

    public override void Process(in Block block)
    {
        base.Process(block);
        for (var channel = 0; channel < block.Output.Channels; channel++)
        {
            foreach (ref var sample in block.Output[channel])
                sample *= _recalled;
        }
    }
}
