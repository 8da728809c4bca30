using NWaves.Transforms;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Comparing;

/// <summary>
/// How much later one file plays what another does: the plain cross-correlation of their means of both sides (C. H. Knapp and G. C. Carter 1976, without weighting), at a low rate to find the place, at the full
/// rate to the frame. It hears a minute from the middle of the two and finds shifts of up to 10 s.
/// </summary>
public static class PairShift
{
    private const double HeardSeconds = 60, MostShiftSeconds = 10, PassHz = 1000;

    private const int BlockFrames = 8192;

    /// <summary>Frames by which <paramref name="other"/> lies later than <paramref name="ours"/>; 0 if they have nothing in common.</summary>
    /// <exception cref="StemException">A file failed while being read.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static long Find(IStemReader ours, IStemReader other, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(ours);
        ArgumentNullException.ThrowIfNull(other);
        var rate = ours.Format.SampleRateHz;
        var factor = 1;
        while (rate / (factor * 2) >= 4000)
            factor *= 2;
        var heard = (long)Math.Min(HeardSeconds * rate, Math.Max(ours.Format.LengthFrames, other.Format.LengthFrames));
        var start = Math.Max(0, (Math.Min(ours.Format.LengthFrames, other.Format.LengthFrames) - heard) / 2);
        var most = (long)(MostShiftSeconds * rate);

        var one = Low(ours, start, heard, factor, cancellation);
        var two = Low(other, start, heard, factor, cancellation);
        var coarse = Largest(Correlate(one, two), (int)(most / factor)) * factor;

        // To the frame: the few places around it.
        var (best, largest) = (coarse, 0.0);
        var a = Mean(ours, start, (int)Math.Min(heard, 10L * rate), cancellation);
        var b = Mean(other, start + coarse - (2 * factor), a.Length + (4 * factor), cancellation);
        for (var shift = 0; shift <= 4 * factor; shift++)
        {
            var sum = Math.Abs(Dot(a, b.AsSpan(shift, a.Length)));
            var place = coarse - (2 * factor) + shift;
            if (sum > largest || (sum == largest && Math.Abs(place) < Math.Abs(best)))
                (best, largest) = (place, sum);
        }

        return largest > 0 ? best : 0;
    }

    private static double Dot(ReadOnlySpan<double> one, ReadOnlySpan<double> other)
    {
        var sum = 0.0;
        for (var index = 0; index < one.Length; index++)
            sum += one[index] * other[index];
        return sum;
    }

    private static double[] Mean(IStemReader file, long startFrame, int frames, CancellationToken cancellation)
    {
        var block = Signal.Allocate(file.Format.Channels, BlockFrames);
        var scratch = new double[BlockFrames];
        var mean = new double[frames];
        for (var done = 0; done < frames; done += BlockFrames)
        {
            cancellation.ThrowIfCancellationRequested();
            var part = block.Slice(0, Math.Min(BlockFrames, frames - done));
            file.Read(startFrame + done, part);
            Mono.Of(part, scratch).CopyTo(mean.AsSpan(done));
        }

        return mean;
    }

    private static double[] Low(IStemReader file, long startFrame, long frames, int factor, CancellationToken cancellation)
    {
        var mean = Mean(file, startFrame, (int)frames, cancellation);
        var decimator = new Decimator(factor, PassHz, file.Format.SampleRateHz);
        var low = new double[Decimator.MostSamples(mean.Length, factor) + 64];
        var count = 0;
        for (var done = 0; done < mean.Length; done += BlockFrames)
            count += decimator.Process(mean.AsSpan(done, Math.Min(BlockFrames, mean.Length - done)), low.AsSpan(count));
        return low[..count];
    }

    /// <summary>The circular cross-correlation, long enough for nothing to come round.</summary>
    private static double[] Correlate(double[] one, double[] other)
    {
        var size = 2;
        while (size < one.Length + other.Length)
            size *= 2;
        var transform = new RealFft64(size);
        var (oneReal, oneImaginary) = Spectrum(one);
        var (otherReal, otherImaginary) = Spectrum(other);
        for (var bin = 0; bin < oneReal.Length; bin++)
        {
            (otherReal[bin], otherImaginary[bin]) = (
                (oneReal[bin] * otherReal[bin]) + (oneImaginary[bin] * otherImaginary[bin]),
                (oneReal[bin] * otherImaginary[bin]) - (oneImaginary[bin] * otherReal[bin]));
        }

        var correlation = new double[size];
        transform.Inverse(otherReal, otherImaginary, correlation);
        return correlation;

        (double[] Real, double[] Imaginary) Spectrum(double[] samples)
        {
            var (padded, real, imaginary) = (new double[size], new double[(size / 2) + 1], new double[(size / 2) + 1]);
            samples.CopyTo(padded, 0);
            transform.Direct(padded, real, imaginary);
            return (real, imaginary);
        }
    }

    /// <summary>The place of the largest, upside down or not; of nearly equal ones the nearest to 0.</summary>
    private static int Largest(double[] correlation, int most)
    {
        var (best, largest) = (0, At(0));
        for (var shift = 1; shift <= Math.Min(most, (correlation.Length / 2) - 1); shift++)
        {
            foreach (var place in (int[])[shift, -shift])
            {
                if (At(place) > largest * (1 + 1e-9))
                    (best, largest) = (place, At(place));
            }
        }

        return best;

        double At(int shift) => Math.Abs(correlation[shift >= 0 ? shift : correlation.Length + shift]);
    }
}
