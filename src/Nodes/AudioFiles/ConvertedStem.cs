using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.AudioFiles;

/// <summary>A stem as it would be had it been exported at another sample rate. Memory: one buffer a thread.</summary>
public sealed class ConvertedStem : IStemReader
{
    /// <summary>Old frames taken at once, besides those that the filter reaches out for.</summary>
    private const int PartFrames = 8192;

    [ThreadStatic]
    private static double[]? buffer;

    private readonly IStemReader _stem;
    private readonly RateConversion _conversion;

    /// <param name="stem">Is owned from here on.</param>
    /// <param name="conversion">From the stem's rate.</param>
    public ConvertedStem(IStemReader stem, RateConversion conversion)
    {
        (_stem, _conversion) = (stem, conversion);
        ArgumentOutOfRangeException.ThrowIfNotEqual(conversion.FromHz, stem.Format.SampleRateHz, nameof(conversion));
        Format = stem.Format with
        {
            SampleRateHz = conversion.ToHz,
            LengthFrames = conversion.LengthFrames(stem.Format.LengthFrames),
            ConvertedFromHz = conversion.FromHz,
        };
    }

    /// <inheritdoc/>
    public StemFormat Format { get; }

    /// <inheritdoc/>
    public void Read(long startFrame, Signal into)
    {
        var inside = into.Inside(startFrame, Format.LengthFrames, out var first);
        var most = (int)Math.Max(1, (long)PartFrames * _conversion.ToHz / _conversion.FromHz);
        for (var done = 0; done < inside.Frames; done += most)
            Convert(first + done, inside.Slice(done, Math.Min(most, inside.Frames - done)));
    }

    /// <inheritdoc/>
    public void CheckUnchanged() => _stem.CheckUnchanged();

    /// <inheritdoc/>
    public void Dispose() => _stem.Dispose();

    private void Convert(long first, Signal into)
    {
        var (from, count) = _conversion.InputOf(first, into.Frames);
        if (buffer is null || buffer.Length < count * into.Channels)
            buffer = new double[count * into.Channels];
        var taken = new Signal(buffer, 0, count, into.Channels, count);
        _stem.Read(from, taken);
        if (buffer.AsSpan(0, count * into.Channels).ContainsAnyExcept(0.0))
            _conversion.Convert(taken, first, into);
        else
            into.Clear();
    }
}
