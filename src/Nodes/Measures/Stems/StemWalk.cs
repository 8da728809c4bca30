using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Stems;

/// <summary>One walk over a stem at its full rate: gathers its facts and leaves its low band in a spool. Blocks have a fixed length, so the sums have the same bits every time.</summary>
internal static class StemWalk
{
    private const int BlockFrames = 1 << 15;

    /// <summary>Walks.</summary>
    /// <param name="firstPlane">The spool's plane for its first channel.</param>
    /// <exception cref="StemException">The file changed or failed.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static StemFacts Run(SongStem stem, int sampleRateHz, LowBand lowBand, LowBandSpool spool, int firstPlane, CancellationToken cancellation)
    {
        var channels = stem.Reader.Format.Channels;
        var block = Signal.Allocate(channels, BlockFrames);
        var planes = Enumerable.Range(0, channels).Select(_ => new PlaneWalk(new(lowBand.Factor, LowBand.PassHz, sampleRateHz))).ToArray();
        var low = new double[Decimator.MostSamples(BlockFrames, lowBand.Factor) + 64];
        var product = 0.0;
        long? firstSound = null, lastSound = null;

        // The low band's frames hang on the song's: the walk begins at one of them.
        var first = Math.Max(0, stem.StartFrame) / lowBand.Factor * lowBand.Factor;
        for (var start = first; start < stem.EndFrame; start += BlockFrames)
        {
            cancellation.ThrowIfCancellationRequested();
            var part = block.Slice(0, (int)Math.Min(BlockFrames, stem.EndFrame - start));
            stem.Read(start, part);
            var peak = 0.0;
            for (var channel = 0; channel < channels; channel++)
            {
                peak = Math.Max(peak, planes[channel].Add(start, part[channel], low, out var count));
                spool.Write(firstPlane + channel, planes[channel].TakePlace(first / lowBand.Factor, count), low.AsSpan(0, count));
            }

            if (channels == 2)
                product += Product(part[0], part[1]);
            if (peak < StemFacts.SilenceAmplitude)
                continue;
            firstSound ??= start + FirstSound(part);
            lastSound = start + LastSound(part);
        }

        for (var channel = 0; channel < channels; channel++)
        {
            var count = planes[channel].Decimator.Finish(low);
            spool.Write(firstPlane + channel, planes[channel].TakePlace(first / lowBand.Factor, count), low.AsSpan(0, count));
        }

        var frames = Math.Max(0, stem.EndFrame - Math.Max(0, stem.StartFrame));
        var clips = planes.MinBy(plane => plane.Clips.FirstFrame ?? long.MaxValue)!;
        var shared = planes.Length == 2 ? Math.Sqrt(planes[0].Squares * planes[1].Squares) : 0;
        return new(
            frames, planes.Max(plane => plane.Peak), frames == 0 ? 0 : planes.Sum(plane => plane.Squares) / (frames * (double)channels),
            frames == 0 ? 0 : planes.MaxBy(plane => Math.Abs(plane.Sum))!.Sum / frames, shared > 0 ? product / shared : null, firstSound, lastSound,
            planes.Sum(plane => plane.Clips.Places), clips.Clips.FirstFrame);
    }

    private static int FirstSound(Signal part)
    {
        for (var frame = 0; frame < part.Frames; frame++)
        {
            for (var channel = 0; channel < part.Channels; channel++)
            {
                if (Math.Abs(part[channel][frame]) >= StemFacts.SilenceAmplitude)
                    return frame;
            }
        }

        return part.Frames;
    }

    private static int LastSound(Signal part)
    {
        for (var frame = part.Frames - 1; frame >= 0; frame--)
        {
            for (var channel = 0; channel < part.Channels; channel++)
            {
                if (Math.Abs(part[channel][frame]) >= StemFacts.SilenceAmplitude)
                    return frame;
            }
        }

        return 0;
    }

    private static double Product(ReadOnlySpan<double> left, ReadOnlySpan<double> right)
    {
        var lefts = MemoryMarshal.Cast<double, Vector256<double>>(left);
        var rights = MemoryMarshal.Cast<double, Vector256<double>>(right);
        var sums = Vector256<double>.Zero;
        for (var index = 0; index < lefts.Length; index++)
            sums += lefts[index] * rights[index];
        var sum = sums[0] + sums[1] + (sums[2] + sums[3]);
        for (var frame = lefts.Length * Vector256<double>.Count; frame < left.Length; frame++)
            sum += left[frame] * right[frame];
        return sum;
    }

    private sealed class PlaneWalk(Decimator decimator)
    {
        private long _written;

        public Decimator Decimator => decimator;

        public ClipScan Clips { get; } = new();

        public double Peak { get; private set; }

        public double Sum { get; private set; }

        public double Squares { get; private set; }

        public double Add(long startFrame, ReadOnlySpan<double> samples, Span<double> low, out int count)
        {
            var peak = Peaks.Largest(samples);
            Clips.Add(startFrame, samples, peak);
            Peak = Math.Max(Peak, peak);
            var (sums, squares) = (Vector256<double>.Zero, Vector256<double>.Zero);
            var fours = MemoryMarshal.Cast<double, Vector256<double>>(samples);
            foreach (var four in fours)
            {
                sums += four;
                squares += four * four;
            }

            Sum += sums[0] + sums[1] + (sums[2] + sums[3]);
            Squares += squares[0] + squares[1] + (squares[2] + squares[3]);
            foreach (var sample in samples[(fours.Length * Vector256<double>.Count)..])
            {
                Sum += sample;
                Squares += sample * sample;
            }

            count = decimator.Process(samples, low);
            return peak;
        }

        public long TakePlace(long firstLowFrame, int count)
        {
            var place = firstLowFrame + _written;
            _written += count;
            return place;
        }
    }
}
