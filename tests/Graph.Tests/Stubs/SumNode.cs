using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>Adds its inputs in the order written. A connection of -6 dB counts with its sign turned instead: exact, so that paths can null to the bit.</summary>
internal sealed class SumNode : INode
{
    public const double FlipDb = -6;

    private double[] _signs = [];

    public static NodeType Type { get; } = NodeType.Define("sum", 1, "Adds.", [Port.Inputs], _ => 0, _ => new SumNode());

    public int LatencyFrames(int sampleRateHz) => 0;

    public bool IsAtRest => true;

    public void Prepare(NodeFormat format) => _signs = [.. format.Inputs.Select(input => input.GainDb == FlipDb ? -1.0 : 1.0)];

    public void Process(in Block block)
    {
        block.Output.Clear();
        for (var channel = 0; channel < block.Output.Channels; channel++)
        {
            for (var index = 0; index < block.Inputs.Length; index++)
            {
                var plane = block.Inputs[index][Math.Min(channel, block.Inputs[index].Channels - 1)];
                for (var frame = 0; frame < block.Frames; frame++)
                    block.Output[channel][frame] += _signs[index] * plane[frame];
            }
        }
    }
}
