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
        var first = Math.Clamp(startFrame, 0, Format.LengthFrames);
        var end = Math.Clamp(startFrame + into.Frames, first, Format.LengthFrames);
        var (before, count) = (end == first ? into.Frames : (int)(first - startFrame), (int)(end - first));
        into.Slice(0, before).Clear();
        into.Slice(before + count, into.Frames - before - count).Clear();

        var most = (int)Math.Max(1, (long)PartFrames * _conversion.ToHz / _conversion.FromHz);
        for (var done = 0; done < count; done += most)
            Convert(first + done, into.Slice(before + done, Math.Min(most, count - done)));
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
