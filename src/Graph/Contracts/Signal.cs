namespace RenderGraph.Graph.Contracts;

/// <summary>
/// A stretch of sound, seen as one plane of samples a channel; full scale is 1, and over-range is kept. A view: it owns no memory.
/// </summary>
/// <param name="samples">Where the planes lie.</param>
/// <param name="offset">First sample of channel 0.</param>
/// <param name="stride">Samples from one channel's plane to the next's.</param>
/// <param name="channels">1 (mono) or 2 (left, right).</param>
/// <param name="frames">Frames in view.</param>
/// <param name="silence">Where it is noted that the signal is silent; null if that is not kept.</param>
/// <param name="silenceIndex">The signal's own entry there.</param>
public readonly struct Signal(
    double[] samples, int offset, int stride, int channels, int frames, bool[]? silence = null, int silenceIndex = 0)
{
    /// <summary>1 (mono) or 2 (left, right).</summary>
    public int Channels => channels;

    /// <summary>Frames in view.</summary>
    public int Frames => frames;

    /// <summary>
    /// Whether every sample is known to be 0, so that work may be spared. No is no promise. Whoever fills the whole signal with zeros may set it;
    /// a signal that does not keep it forgets it.
    /// </summary>
    public bool IsSilent
    {
        get => silence is not null && silence[silenceIndex];
        set
        {
            if (silence is not null)
                silence[silenceIndex] = value;
        }
    }

    /// <summary>One channel's samples.</summary>
    public Span<double> this[int channel] => new(samples, offset + (channel * stride), frames);

    /// <summary>A mono or stereo signal of its own, zeroed: for tests and set-up, never inside a render.</summary>
    public static Signal Allocate(int channels, int frames) => new(new double[channels * frames], 0, frames, channels, frames);

    /// <summary>The part of this view that starts at <paramref name="start"/> and lasts <paramref name="count"/> frames.</summary>
    public Signal Slice(int start, int count)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(start);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(start + count, frames);
        return new(samples, offset + start, stride, channels, count, silence, silenceIndex);
    }

    /// <summary>Copies every channel.</summary>
    public void CopyTo(Signal target)
    {
        for (var channel = 0; channel < channels; channel++)
            this[channel].CopyTo(target[channel]);
    }

    /// <summary>Sets every sample to zero.</summary>
    public void Clear()
    {
        for (var channel = 0; channel < channels; channel++)
            this[channel].Clear();
    }

    /// <summary>Sets every sample to zero and says so. Only for a signal seen whole, not for a part of one.</summary>
    public void Silence()
    {
        Clear();
        IsSilent = true;
    }
}
