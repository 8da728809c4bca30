using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Measuring;

/// <summary>Where two recordings of one shape differ, and by how much.</summary>
/// <param name="SampleCount">Samples that differ, on all channels.</param>
/// <param name="FirstFrame">The first frame that differs; null if none does.</param>
/// <param name="PeakAmplitude">The largest difference, full scale being 1.</param>
/// <param name="PeakFrame">Where that is.</param>
public sealed record SampleDifference(long SampleCount, long? FirstFrame, double PeakAmplitude, long? PeakFrame)
{
    private const int BlockFrames = 16_384;

    /// <summary>Walks through both from beginning to end.</summary>
    /// <returns>Null if they have different rates, channels or lengths, so that no sample has a counterpart.</returns>
    /// <exception cref="StemException">One of them failed while being read.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static SampleDifference? Between(IStemReader one, IStemReader other, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(one);
        ArgumentNullException.ThrowIfNull(other);
        var (format, second) = (one.Format, other.Format);
        if ((format.SampleRateHz, format.Channels, format.LengthFrames) != (second.SampleRateHz, second.Channels, second.LengthFrames))
            return null;

        var (left, right) = (Signal.Allocate(format.Channels, BlockFrames), Signal.Allocate(format.Channels, BlockFrames));
        var found = new SampleDifference(0, null, 0, null);
        for (var start = 0L; start < format.LengthFrames; start += BlockFrames)
        {
            cancellation.ThrowIfCancellationRequested();
            one.Read(start, left);
            other.Read(start, right);
            for (var channel = 0; channel < format.Channels; channel++)
                found = found.With(left[channel], right[channel], start);
        }

        return found;
    }

    private SampleDifference With(ReadOnlySpan<double> one, ReadOnlySpan<double> other, long start)
    {
        if (one.SequenceEqual(other))
            return this;
        var (count, first, peak, at) = (SampleCount, FirstFrame, PeakAmplitude, PeakFrame);
        for (var index = 0; index < one.Length; index++)
        {
            var difference = Math.Abs(one[index] - other[index]);
            if (difference == 0)
                continue;
            count++;
            first = Math.Min(first ?? long.MaxValue, start + index);
            if (difference > peak)
                (peak, at) = (difference, start + index);
        }

        return new(count, first, peak, at);
    }
}
