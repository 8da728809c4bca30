using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.Measures.Loudness;

/// <summary>Cuts a signal into hops of 10 ms, so that what a hop gives does not depend on the blocks in which it came. Where 10 ms are no whole number of frames, hops differ by one.</summary>
/// <param name="channels">Of the signal.</param>
internal sealed class Hops(int sampleRateHz, int channels)
{
    /// <summary>How many there are.</summary>
    public const int PerSecond = 100;

    private readonly double[] _samples = new double[channels * MostFramesAt(sampleRateHz)];
    private readonly bool[] _silence = [true];
    private long _endFrame = Edge(sampleRateHz, 1);

    /// <summary>No hop is longer.</summary>
    public int MostFrames => MostFramesAt(sampleRateHz);

    /// <summary>Whole hops that are done with.</summary>
    public long Count { get; private set; }

    /// <summary>Frames heard, those of the open hop too.</summary>
    public long HeardFrames { get; private set; }

    /// <summary>Frames of the open hop.</summary>
    public int Frames { get; private set; }

    /// <summary>Where the open hop begins.</summary>
    public long FirstFrame => HeardFrames - Frames;

    /// <summary>Whether the open hop has all its frames: it is then to be worked on, and <see cref="Next"/> to be called.</summary>
    public bool IsWhole => HeardFrames == _endFrame;

    /// <summary>The open hop.</summary>
    public Signal Open => new(_samples, 0, MostFrames, channels, Frames, _silence);

    /// <summary>Takes what the open hop still lacks.</summary>
    /// <param name="start">The first frame of the signal that is not taken yet.</param>
    /// <returns>How many frames were taken.</returns>
    public int Take(Signal signal, int start)
    {
        var count = (int)Math.Min(_endFrame - HeardFrames, signal.Frames - start);
        for (var channel = 0; channel < channels; channel++)
            signal[channel].Slice(start, count).CopyTo(_samples.AsSpan((channel * MostFrames) + Frames));
        _silence[0] &= signal.IsSilent;
        Frames += count;
        HeardFrames += count;
        return count;
    }

    /// <summary>Opens the next hop.</summary>
    public void Next()
    {
        Count++;
        _endFrame = Edge(sampleRateHz, Count + 1);
        (Frames, _silence[0]) = (0, true);
    }

    /// <summary>How many frames the last hops have, those that are done with.</summary>
    public long FramesOf(int hops) => Edge(sampleRateHz, Count) - Edge(sampleRateHz, Count - hops);

    private static int MostFramesAt(int rateHz) => (rateHz / PerSecond) + 1;

    private static long Edge(int rateHz, long hop) => hop * rateHz / PerSecond;
}
