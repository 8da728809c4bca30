using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>Lets every node of every lane do its own work, one after the other, and counts the blocks.</summary>
internal sealed class LaneGroupStub : ILaneGroup
{
    private readonly IReadOnlyList<Lane> _lanes;
    private readonly Signal[][] _between; // two planes a lane, written in turns

    public LaneGroupStub(IReadOnlyList<Lane> lanes)
    {
        _lanes = lanes;
        _between = [.. lanes.Select(lane => Enumerable.Range(0, 2).Select(_ => Signal.Allocate(lane.Format.OutputChannels, lane.Format.MaxBlockFrames)).ToArray())];
    }

    /// <summary>Where the inputs of each lane come from.</summary>
    public IReadOnlyList<IReadOnlyList<int>> Sources => [.. _lanes.Select(lane => lane.Sources)];

    public int LaneCount => _lanes.Count;

    public int BlockCount { get; private set; }

    public void Process(long startFrame, ReadOnlySpan<Signal> inputs, ReadOnlySpan<Signal> outputs)
    {
        BlockCount++;
        // Nothing that is read may be written: leftovers in the outputs are spoilt before anything is taken in.
        foreach (var output in outputs)
        {
            for (var channel = 0; channel < output.Channels; channel++)
                output[channel].Fill(double.NaN);
        }

        for (var lane = 0; lane < _lanes.Count; lane++)
        {
            var row = _lanes[lane].Row;
            var taken = inputs[.._lanes[lane].Format.Inputs.Count];
            inputs = inputs[taken.Length..];
            if (AreSilent(taken) && row.All(node => node.IsAtRest))
            {
                outputs[lane].Silence();
                continue;
            }

            Signal[] single = [];
            for (var index = 0; index < row.Count; index++)
            {
                var into = index == row.Count - 1 ? outputs[lane] : _between[lane][index % 2].Slice(0, outputs[lane].Frames);
                row[index].Process(new Block(startFrame, index == 0 ? taken : single, into));
                single = [into];
            }
        }
    }

    private static bool AreSilent(ReadOnlySpan<Signal> signals)
    {
        foreach (var signal in signals)
        {
            if (!signal.IsSilent)
                return false;
        }

        return true;
    }
}
