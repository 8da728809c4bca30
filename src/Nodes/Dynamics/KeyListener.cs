using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>Hears a key as the cut hears it, through a band-pass or as it is, and tells its largest absolute sample in each control step, over all channels.</summary>
internal sealed class KeyListener
{
    private readonly SectionCascade? _bandPass;
    private readonly Signal _heard;
    private readonly double[] _peaks;

    /// <param name="bandPass">Null to hear the key as it is.</param>
    public KeyListener(Section? bandPass, int channels, int maxBlockFrames)
    {
        _bandPass = bandPass is { } section ? new([section]) : null;
        _heard = Signal.Allocate(channels, bandPass is null ? 0 : maxBlockFrames);
        _peaks = new double[(maxBlockFrames / ControlGrid.StepFrames) + 1];
    }

    /// <summary>The peak so far of the step that the last block ended in.</summary>
    public double UnfinishedPeak { get; private set; }

    /// <summary>Hears a block and gives the peaks of the steps that end in it. They stand until the next block.</summary>
    public ReadOnlySpan<double> Hear(long startFrame, Signal key)
    {
        var heard = key;
        if (_bandPass is not null)
        {
            heard = _heard.Slice(0, key.Frames);
            _bandPass.Process(startFrame, key, heard);
        }

        var count = 0;
        for (var start = 0; start < key.Frames;)
        {
            var place = (int)((startFrame + start) % ControlGrid.StepFrames);
            var end = Math.Min(start + ControlGrid.StepFrames - place, key.Frames);
            for (var channel = 0; channel < heard.Channels; channel++)
                UnfinishedPeak = Peaks.Largest(heard[channel][start..end], UnfinishedPeak);

            if (place + end - start == ControlGrid.StepFrames)
            {
                _peaks[count++] = UnfinishedPeak;
                UnfinishedPeak = 0;
            }

            start = end;
        }

        return _peaks.AsSpan(0, count);
    }
}
