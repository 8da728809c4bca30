using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>Lets every node of every lane do its own work, one after the other, and counts the blocks.</summary>
internal sealed class LaneGroupStub : ILaneGroup
{
    private readonly IReadOnlyList<IReadOnlyList<INode>> _lanes;
    private readonly IReadOnlyList<NodeFormat> _formats;
    private readonly Signal[][] _between; // two planes a lane, written in turns

    public LaneGroupStub(IReadOnlyList<IReadOnlyList<INode>> lanes, IReadOnlyList<NodeFormat> formats)
    {
        (_lanes, _formats) = (lanes, formats);
        _between = [.. formats.Select(format => Enumerable.Range(0, 2).Select(_ => Signal.Allocate(format.OutputChannels, format.MaxBlockFrames)).ToArray())];
    }

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
            var taken = inputs[.._formats[lane].Inputs.Count];
            inputs = inputs[taken.Length..];
            if (AreSilent(taken) && _lanes[lane].All(node => node.IsAtRest))
            {
                outputs[lane].Silence();
                continue;
            }

            Signal[] single = [];
            for (var index = 0; index < _lanes[lane].Count; index++)
            {
                var into = index == _lanes[lane].Count - 1 ? outputs[lane] : _between[lane][index % 2].Slice(0, outputs[lane].Frames);
                _lanes[lane][index].Process(new Block(startFrame, index == 0 ? taken : single, into));
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
