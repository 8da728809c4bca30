using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Measures.Spectra;

/// <summary>
/// How much power each stem has in each bin, and what each two have in common: the mean of conj(X) Y over windows and channels (the cross-spectrum, Welch's method). From it follows the power of any sum
/// of stems, with any of them left out, turned over or moved a little, without another look at the sound.
/// </summary>
internal sealed class SpectralMatrix
{
    private readonly SpectralFrame _frame;
    private readonly double[]?[] _real, _imaginary;
    private readonly double[][] _mid;
    private int _windows;

    /// <summary>An empty one.</summary>
    public SpectralMatrix(int stemCount, SpectralFrame frame)
    {
        (StemCount, _frame) = (stemCount, frame);
        _real = new double[stemCount * stemCount][];
        _imaginary = new double[stemCount * stemCount][];
        _mid = [.. Enumerable.Range(0, stemCount).Select(_ => new double[frame.BinCount])];
    }

    /// <summary>How many stems.</summary>
    public int StemCount { get; }

    /// <summary>What the bins are.</summary>
    public SpectralFrame Frame => _frame;

    /// <summary>Adds the windows of a batch.</summary>
    public void Add(SpectraBatch batch, int threads)
    {
        _windows += batch.WindowCount;
        Parallelly.For(StemCount, threads, one =>
        {
            for (var other = one; other < StemCount; other++)
                AddPair(batch, one, other);
        }, CancellationToken.None);
    }

    /// <summary>Power of a stem in a bin.</summary>
    public double Power(int stem, int bin) => Mean(_real[Index(stem, stem)], bin);

    /// <summary>Power of a stem, its bins weighted.</summary>
    public double Power(int stem, ReadOnlySpan<double> shares)
    {
        var sum = 0.0;
        for (var bin = 0; bin < shares.Length; bin++)
        {
            if (shares[bin] > 0)
                sum += shares[bin] * Power(stem, bin);
        }

        return sum;
    }

    /// <summary>Power of a stem's mono sum, (L + R) / 2.</summary>
    public double MidPower(int stem, ReadOnlySpan<double> shares)
    {
        var sum = 0.0;
        for (var bin = 0; bin < shares.Length; bin++)
            sum += shares[bin] * Mean(_mid[stem], bin);
        return sum;
    }

    /// <summary>The cross-spectrum of two stems in a bin.</summary>
    public (double Real, double Imaginary) Cross(int one, int other, int bin)
    {
        if (one <= other)
            return (Mean(_real[Index(one, other)], bin), Mean(_imaginary[Index(one, other)], bin));
        var (real, imaginary) = Cross(other, one, bin);
        return (real, -imaginary);
    }

    /// <summary>What two stems have in common, their bins weighted: half of what their sum has more than their powers added.</summary>
    public double CrossPower(int one, int other, ReadOnlySpan<double> shares)
    {
        if (_real[Index(Math.Min(one, other), Math.Max(one, other))] is not { } real)
            return 0;
        var sum = 0.0;
        for (var bin = 0; bin < shares.Length; bin++)
            sum += shares[bin] * Mean(real, bin);
        return sum;
    }

    /// <summary>Power of a sum of stems, their bins weighted.</summary>
    /// <param name="amplitudes">Of each stem; 0 leaves it out, -1 turns it over.</param>
    public double PowerOfSum(ReadOnlySpan<double> amplitudes, ReadOnlySpan<double> shares)
    {
        var sum = 0.0;
        for (var one = 0; one < StemCount; one++)
        {
            if (amplitudes[one] == 0)
                continue;
            sum += amplitudes[one] * amplitudes[one] * Power(one, shares);
            for (var other = one + 1; other < StemCount; other++)
            {
                if (amplitudes[other] != 0)
                    sum += 2 * amplitudes[one] * amplitudes[other] * CrossPower(one, other, shares);
            }
        }

        return Math.Max(0, sum);
    }

    private int Index(int one, int other) => (one * StemCount) + other;

    private double Mean(double[]? sums, int bin) => sums is null || _windows == 0 ? 0 : sums[bin] / _windows;

    private void AddPair(SpectraBatch batch, int one, int other)
    {
        var index = Index(one, other);
        var channels = Math.Max(batch.ChannelsOf(one), batch.ChannelsOf(other));
        for (var channel = 0; channel < channels; channel++)
        {
            var (plane, otherPlane) = (batch.PlaneOf(one, channel), batch.PlaneOf(other, channel));
            for (var window = 0; window < batch.WindowCount; window++)
            {
                if (batch.IsSilent(plane, window) || batch.IsSilent(otherPlane, window))
                    continue;
                var real = _real[index] ??= new double[batch.BinCount];
                var imaginary = _imaginary[index] ??= new double[batch.BinCount];
                AddProducts(
                    batch.Real(plane, window), batch.Imaginary(plane, window), batch.Real(otherPlane, window), batch.Imaginary(otherPlane, window), 1.0 / channels, real, imaginary);
            }
        }

        if (one == other)
            AddMid(batch, one);
    }

    private void AddMid(SpectraBatch batch, int stem)
    {
        var (left, right) = (batch.PlaneOf(stem, 0), batch.PlaneOf(stem, 1));
        var mid = _mid[stem];
        for (var window = 0; window < batch.WindowCount; window++)
        {
            var (hasLeft, hasRight) = (!batch.IsSilent(left, window), !batch.IsSilent(right, window));
            if (!hasLeft && !hasRight)
                continue;
            for (var bin = 0; bin < mid.Length; bin++)
            {
                var real = (hasLeft ? batch.Real(left, window)[bin] : 0) + (hasRight ? batch.Real(right, window)[bin] : 0);
                var imaginary = (hasLeft ? batch.Imaginary(left, window)[bin] : 0) + (hasRight ? batch.Imaginary(right, window)[bin] : 0);
                mid[bin] += 0.25 * ((real * real) + (imaginary * imaginary));
            }
        }
    }

    // Each bin by itself, in the order of windows: lanes change no bit.
    private static void AddProducts(
        ReadOnlySpan<double> real, ReadOnlySpan<double> imaginary, ReadOnlySpan<double> otherReal, ReadOnlySpan<double> otherImaginary, double weight,
        Span<double> sumReal, Span<double> sumImaginary)
    {
        var a = MemoryMarshal.Cast<double, Vector256<double>>(real);
        var b = MemoryMarshal.Cast<double, Vector256<double>>(imaginary);
        var c = MemoryMarshal.Cast<double, Vector256<double>>(otherReal);
        var d = MemoryMarshal.Cast<double, Vector256<double>>(otherImaginary);
        var x = MemoryMarshal.Cast<double, Vector256<double>>(sumReal);
        var y = MemoryMarshal.Cast<double, Vector256<double>>(sumImaginary);
        var factor = Vector256.Create(weight);
        for (var index = 0; index < x.Length; index++)
        {
            x[index] += factor * ((a[index] * c[index]) + (b[index] * d[index]));
            y[index] += factor * ((a[index] * d[index]) - (b[index] * c[index]));
        }
    }
}
