using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.Tests.Dsp;

/// <summary>Samples in memory as a stem.</summary>
internal sealed class MemoryStem(Signal samples, int sampleRateHz) : IStemReader
{
    public StemFormat Format { get; } = new(sampleRateHz, samples.Channels, samples.Frames, "64-bit float in memory");

    public void Read(long startFrame, Signal into)
    {
        for (var channel = 0; channel < into.Channels; channel++)
        {
            for (var frame = 0; frame < into.Frames; frame++)
            {
                var at = startFrame + frame;
                into[channel][frame] = at >= 0 && at < samples.Frames ? samples[channel][(int)at] : 0;
            }
        }
    }

    public void Dispose()
    {
        // Memory only.
    }
}
