using System.Numerics;
using NWaves.Transforms;

namespace RenderGraph.Testing;

/// <summary>What a sound is made of, measured by means that share nothing with the engine.</summary>
public static class Spectrum
{
    /// <summary>
    /// The Fourier transform at one frequency, summed directly with the rounding carried along (Kahan), so that far-down values can be read.
    /// Of an impulse response it is the transfer function.
    /// </summary>
    public static Complex At(ReadOnlySpan<double> samples, double frequencyHz, double sampleRateHz)
    {
        var (sum, lost) = (Complex.Zero, Complex.Zero);
        for (var frame = 0; frame < samples.Length; frame++)
        {
            if (samples[frame] == 0)
                continue;
            var angle = 2 * Math.PI * (frequencyHz * frame / sampleRateHz % 1);
            var term = new Complex(samples[frame] * Math.Cos(angle), -samples[frame] * Math.Sin(angle)) - lost;
            var next = sum + term;
            (lost, sum) = (next - sum - term, next);
        }

        return sum;
    }

    /// <summary>Amplitude of a sine of that frequency in a stretch that holds whole periods of everything in it.</summary>
    public static double AmplitudeAt(ReadOnlySpan<double> samples, double frequencyHz, double sampleRateHz) =>
        2 * At(samples, frequencyHz, sampleRateHz).Magnitude / samples.Length;

    /// <summary>The fast transform by NWaves: bins 0 to n/2 of a stretch whose length n is a power of two. Bin k lies at k / n of the sample rate.</summary>
    public static Complex[] Bins(ReadOnlySpan<double> samples)
    {
        var transform = new RealFft64(samples.Length);
        var (re, im) = (new double[(samples.Length / 2) + 1], new double[(samples.Length / 2) + 1]);
        transform.Direct(samples.ToArray(), re, im);
        return [.. re.Zip(im, (real, imaginary) => new Complex(real, imaginary))];
    }

    /// <summary>The transform of a stretch of any length, bins 0 to n/2, by splitting it into its prime factors: quick where those are small.</summary>
    public static Complex[] BinsOfAnyLength(ReadOnlySpan<double> samples)
    {
        var turns = new Complex[samples.Length];
        for (var index = 0; index < turns.Length; index++)
            turns[index] = Complex.FromPolarCoordinates(1, -2 * Math.PI * index / turns.Length);
        var values = new Complex[samples.Length];
        for (var index = 0; index < values.Length; index++)
            values[index] = samples[index];
        return Transform(values, turns)[..((samples.Length / 2) + 1)];
    }

    private static Complex[] Transform(Complex[] values, Complex[] turns)
    {
        if (values.Length == 1)
            return values;
        var factor = Enumerable.Range(2, values.Length - 1).First(number => values.Length % number == 0);
        var count = values.Length / factor;
        var parts = new Complex[factor][];
        for (var part = 0; part < factor; part++)
        {
            parts[part] = new Complex[count];
            for (var index = 0; index < count; index++)
                parts[part][index] = values[(index * factor) + part];
            parts[part] = Transform(parts[part], turns);
        }

        var result = new Complex[values.Length];
        for (var bin = 0; bin < result.Length; bin++)
        {
            for (var part = 0; part < factor; part++)
                result[bin] += parts[part][bin % count] * turns[(int)((long)bin * part % values.Length * (turns.Length / values.Length))];
        }

        return result;
    }

    /// <summary>20 log10.</summary>
    public static double ToDb(double amplitude) => 20 * Math.Log10(amplitude);

    /// <summary>20 log10 of the magnitude.</summary>
    public static double MagnitudeDb(Complex value) => ToDb(value.Magnitude);

    /// <summary>The angle by which <paramref name="value"/> leads <paramref name="reference"/>, between -180 and 180 degrees.</summary>
    public static double PhaseDifferenceDegrees(Complex value, double referenceRadians) =>
        (value * Complex.FromPolarCoordinates(1, -referenceRadians)).Phase * 180 / Math.PI;
}
