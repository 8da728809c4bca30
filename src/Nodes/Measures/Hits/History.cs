namespace RenderGraph.Nodes.Measures.Hits;

/// <summary>The last samples of a stream, by their place in it. What lies before its start or not yet in it is 0; what has been forgotten must not be asked for.</summary>
/// <param name="samples">At least so many are kept.</param>
internal sealed class History(int samples)
{
    private readonly double[] _kept = new double[(int)System.Numerics.BitOperations.RoundUpToPowerOf2((uint)samples)];

    /// <summary>Samples taken so far.</summary>
    public long Count { get; private set; }

    public double this[long index] => index < 0 || index >= Count ? 0 : _kept[(int)(index & (_kept.Length - 1))];

    public void Add(double sample)
    {
        _kept[(int)(Count & (_kept.Length - 1))] = sample;
        Count++;
    }

    public void Add(ReadOnlySpan<double> samples)
    {
        while (samples.Length > 0)
        {
            var start = (int)(Count & (_kept.Length - 1));
            var count = Math.Min(samples.Length, _kept.Length - start);
            samples[..count].CopyTo(_kept.AsSpan(start));
            samples = samples[count..];
            Count += count;
        }
    }

    /// <summary>Goes on at another place: all before it is forgotten.</summary>
    public void SkipTo(long index) => Count = index;

    /// <summary>Copies a stretch.</summary>
    public void CopyTo(long from, Span<double> into)
    {
        var (first, end) = (Math.Clamp(-from, 0, into.Length), Math.Clamp(Count - from, 0, into.Length));
        into[..(int)first].Clear();
        into[(int)end..].Clear();
        for (var place = first; place < end;)
        {
            var start = (int)((from + place) & (_kept.Length - 1));
            var count = (int)Math.Min(end - place, _kept.Length - start);
            _kept.AsSpan(start, count).CopyTo(into[(int)place..]);
            place += count;
        }
    }

    /// <summary>Largest absolute sample of a stretch.</summary>
    public double Peak(long from, long to)
    {
        var peak = 0.0;
        for (var index = from; index < to; index++)
            peak = Math.Max(peak, Math.Abs(this[index]));
        return peak;
    }
}
