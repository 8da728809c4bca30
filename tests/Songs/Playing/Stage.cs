using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Songs.Playing;

/// <summary>How long a song is, and at which rate it is played.</summary>
internal readonly record struct Stage(int SampleRateHz, int LengthFrames)
{
    public double Seconds => (double)LengthFrames / SampleRateHz;

    public Signal Silence(int channels = 1) => Signal.Allocate(channels, LengthFrames);

    public int Frame(double seconds) => (int)Math.Round(seconds * SampleRateHz);

    /// <summary>The frames of a note that lie within the song.</summary>
    public (int Start, int Frames) Place(double seconds, double lengthSeconds)
    {
        var start = Math.Max(0, Frame(seconds));
        return (start, Math.Max(0, Math.Min(Frame(lengthSeconds), LengthFrames - start)));
    }

    /// <summary>What a decay that halves every <paramref name="halfMs"/> leaves after one frame.</summary>
    public double FallPerFrame(double halfMs) => PortableMath.Exp2(-1000 / (halfMs * SampleRateHz));

    /// <summary>From 0 up to 1, and down again at the end, in straight lines.</summary>
    public double Gate(int frame, int frames, double riseMs, double fallMs) =>
        Math.Min(1, Math.Min(frame * 1000.0 / (riseMs * SampleRateHz), (frames - frame) * 1000.0 / (fallMs * SampleRateHz)));
}
