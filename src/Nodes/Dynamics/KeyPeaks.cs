using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>Tells the largest absolute sample of a key in each control step, over all channels.</summary>
internal sealed class KeyPeaks(int maxBlockFrames)
{
    private readonly double[] _peaks = new double[(maxBlockFrames / ControlGrid.StepFrames) + 1];

    /// <summary>The peak so far of the step that the last block ended in.</summary>
    public double Unfinished { get; private set; }

    /// <summary>Takes a block and gives the peaks of the steps that end in it. They stand until the next block.</summary>
    public ReadOnlySpan<double> Of(long songFrame, Signal key)
    {
        var left = key[0];
        var right = key[key.Channels - 1];
        var count = 0;
        for (var start = 0; start < key.Frames;)
        {
            var place = ControlGrid.PlaceOf(songFrame + start);
            var end = Math.Min(start + ControlGrid.StepFrames - place, key.Frames);
            Unfinished = Peaks.Largest(left[start..end], right[start..end], Unfinished);

            if (place + end - start == ControlGrid.StepFrames)
            {
                _peaks[count++] = Unfinished;
                Unfinished = 0;
            }

            start = end;
        }

        return _peaks.AsSpan(0, count);
    }
}
