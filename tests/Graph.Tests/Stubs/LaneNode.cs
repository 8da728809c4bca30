using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>
/// y[n] = x[n] * key[n] + y[n-1] / 2, the key being 1 where there is none; below <see cref="Floor"/> it forgets. Runs alone or in a group;
/// <see cref="Group"/> tells which.
/// </summary>
internal class LaneNode(LaneParameters parameters) : ILaneNode
{
    /// <summary>So that it comes to rest soon.</summary>
    public const double Floor = 1.0 / 1024;

    private double[] _last = [];

    /// <summary>Without a key: can follow its like in a row.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "lane", 1, "Remembers.", [Port.Input], source => LaneParameters.Read(source, canRunInRow: true), parameters => new LaneNode(parameters));

    /// <summary>With a key, so two inputs a lane.</summary>
    public static NodeType KeyedType { get; } = NodeType.Define(
        "laneKeyed", 1, "Remembers.", [Port.Input, Port.Key], source => LaneParameters.Read(source, canRunInRow: false), parameters => new LaneNode(parameters));

    public virtual string LaneKind => $"lane {parameters.Kind}";

    public bool CanRunInRow => parameters.CanRunInRow;

    /// <summary>The last group it was joined into, or null.</summary>
    public LaneGroupStub? Group { get; private set; }

    public int LatencyFrames(int sampleRateHz) => 0;

    public bool IsAtRest => Array.TrueForAll(_last, last => last == 0);

    public virtual void Prepare(NodeFormat format) => (_last, Group) = (new double[format.OutputChannels], null);

    public ILaneGroup Join(IReadOnlyList<Lane> lanes)
    {
        var group = new LaneGroupStub(lanes);
        foreach (var node in lanes.SelectMany(lane => lane.Row))
            ((LaneNode)node).Group = group;
        return group;
    }

    /// <summary>The formula.</summary>
    public static double Remember(double sample, double last)
    {
        var sum = sample + (last * 0.5);
        return Math.Abs(sum) < Floor ? 0 : sum;
    }

    public virtual void Process(in Block block)
    {
        for (var channel = 0; channel < block.Output.Channels; channel++)
        {
            var last = _last[channel];
            for (var frame = 0; frame < block.Frames; frame++)
            {
                var key = block.Inputs.Length == 1 ? 1 : block.Inputs[1][Math.Min(channel, block.Inputs[1].Channels - 1)][frame];
                last = Remember(block.Input[channel][frame] * key, last);
                block.Output[channel][frame] = last;
            }

            _last[channel] = last;
        }
    }
}

/// <summary>Which lanes are alike.</summary>
/// <param name="Kind">Any number.</param>
internal sealed record LaneParameters(double Kind, bool CanRunInRow)
{
    public static LaneParameters Read(IParameterSource source, bool canRunInRow) =>
        new(source.Number(nameof(Kind), 0, 9, 0, "Alike with those of the same."), canRunInRow);
}
