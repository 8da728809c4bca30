using CsCheck;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

public class OversamplerTests
{
    private const double PassEdge = Oversampler.PassEdge;

    [Theory]
    [InlineData(2)]
    [InlineData(4)]
    [InlineData(8)]
    public void GivesWhatStuffingZerosAndConvolvingWouldGive(int factor)
    {
        // Silence around it, so that the slow way, which knows nothing beyond its ends, misses nothing.
        var latency = Oversampler.LatencyFrames(factor);
        double[] source = [.. new double[latency], .. Signals.Noise(500, seed: 3)[0], .. new double[latency]];
        var (fast, returned) = Run(factor, [.. source, .. new double[latency]], [100]);

        // The slow way knows no delay: each filter is centred on its middle tap.
        var slow = source;
        for (var rate = 2; rate <= factor; rate *= 2)
            slow = Convolved([.. slow.SelectMany(sample => new[] { 2 * sample, 0 })], Filter(rate));
        var upDelay = UpDelayFrames(factor) * factor;
        for (var index = 0; index < slow.Length; index++)
            Assert.Equal(slow[index], fast[index + upDelay], 1e-12);

        for (var rate = factor; rate >= 2; rate /= 2)
            slow = [.. Convolved(slow, Filter(rate)).Where((_, index) => index % 2 == 0)];
        for (var frame = 0; frame < source.Length; frame++)
            Assert.Equal(slow[frame], returned[frame + latency], 1e-12);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(4)]
    [InlineData(8)]
    public void AnImpulseReturnsAsALinearPhasePeakAtTheLatencyDeclared(int factor)
    {
        var latency = Oversampler.LatencyFrames(factor);
        var response = Run(factor, Signals.Impulse((2 * latency) + 40)[0].ToArray(), [64]).Returned;
        Assert.Equal(latency, Array.IndexOf(response, response.Max()));
        for (var distance = 1; distance <= latency; distance++)
            Assert.Equal(response[latency - distance], response[latency + distance], 15);
        Assert.All(response[((2 * latency) + 1)..], sample => Assert.Equal(0, sample));
    }

    [Theory]
    [InlineData(2)]
    [InlineData(4)]
    [InlineData(8)]
    public void IsFlatUpToTwentyKilohertzAt48000(int factor)
    {
        var response = Run(factor, Signals.Impulse(300)[0].ToArray(), [256]).Returned;
        for (var frequencyHz = 0; frequencyHz <= 20160; frequencyHz += 60)
            Assert.InRange(Spectrum.MagnitudeDb(Spectrum.At(response, frequencyHz, 48000)), -0.0001, 0.0001);
    }

    [Theory]
    [InlineData(2, 18500, 0.0001)]
    [InlineData(4, 19000, 0.01)]
    [InlineData(4, 19500, 0.2)]
    [InlineData(4, 20000, 1.2)]
    public void DroopsALittleBelowTwentyKilohertzAt44100(int factor, int frequencyHz, double droopDb)
    {
        var response = Run(factor, Signals.Impulse(300)[0].ToArray(), [256]).Returned;
        Assert.InRange(Spectrum.MagnitudeDb(Spectrum.At(response, frequencyHz, 44100)), -droopDb, 0.0001);
    }

    [Theory]
    [InlineData(2)]
    [InlineData(4)]
    [InlineData(8)]
    public void NoImageOfThePassBandIsLeft(int factor)
    {
        var response = Run(factor, Signals.Impulse(300)[0].ToArray(), [256]).Up;
        var worst = Frequencies(factor).Max(frequency => Spectrum.At(response, frequency, factor).Magnitude / factor);
        Assert.True(Spectrum.ToDb(worst) < -Oversampler.AttenuationDb, $"{Spectrum.ToDb(worst):F1} dB");
    }

    [Theory]
    [InlineData(2)]
    [InlineData(4)]
    [InlineData(8)]
    public void NothingFoldsIntoThePassBand(int factor)
    {
        var worst = 0.0;
        foreach (var frequency in Frequencies(factor).Where((_, index) => index % 10 == 0))
        {
            var oversampler = new Oversampler(factor);
            var returned = new double[256];
            for (var pass = 0; pass < 3; pass++)
            {
                for (var plane = 0; plane < factor; plane++)
                {
                    var samples = oversampler.Bent(plane, 256);
                    for (var frame = 0; frame < 256; frame++)
                    {
                        var time = (((pass * 256) + frame) * factor) + plane;
                        samples[frame] = Math.Cos(2 * Math.PI * (frequency * time / factor % 1));
                    }
                }

                oversampler.Down(returned);
            }

            worst = Math.Max(worst, returned.Max(Math.Abs));
        }

        Assert.True(Spectrum.ToDb(worst) < -Oversampler.AttenuationDb, $"{Spectrum.ToDb(worst):F1} dB");
    }

    [Theory]
    [InlineData(2)]
    [InlineData(4)]
    [InlineData(8)]
    public void BlocksOfAnySizeGiveTheSameBits(int factor)
    {
        // A block of one frame is summed in no lanes at all, so this also holds lanes against plain numbers.
        var source = Signals.Noise(1500, seed: 4)[0].ToArray();
        var expected = Run(factor, source, [256]);
        Gen.Int[1, 256].Array[1, 12].Sample(cuts => Same(Run(factor, source, cuts), expected), iter: 20);
        Assert.True(Same(Run(factor, source, [1]), expected));
    }

    [Fact]
    public void OtherFactorsAreRefused() => Assert.Throws<ArgumentOutOfRangeException>(() => new Oversampler(3));

    private static bool Same((double[] Up, double[] Returned) one, (double[] Up, double[] Returned) other) =>
        one.Up.AsSpan().SequenceEqual(other.Up) && one.Returned.AsSpan().SequenceEqual(other.Returned);

    // From where the pass band's first image begins up to half the higher rate, in units of the base rate; past the images' skirts lies nothing to be stopped.
    private static IEnumerable<double> Frequencies(int factor)
    {
        for (var frequency = 1 - PassEdge; frequency <= factor / 2.0; frequency += 0.001)
        {
            if (Math.Abs(frequency - Math.Round(frequency)) <= PassEdge)
                yield return frequency;
        }
    }

    private static (double[] Up, double[] Returned) Run(int factor, double[] source, int[] cuts)
    {
        var oversampler = new Oversampler(factor);
        var (up, returned) = (new double[source.Length * factor], new double[source.Length]);
        for (var (start, turn) = (0, 0); start < source.Length; turn++)
        {
            var count = Math.Min(cuts[turn % cuts.Length], source.Length - start);
            source.AsSpan(start, count).CopyTo(oversampler.Entrance(count));
            oversampler.Up(count);
            for (var plane = 0; plane < factor; plane++)
            {
                var samples = oversampler.Raised(plane, count);
                samples.CopyTo(oversampler.Bent(plane, count));
                for (var frame = 0; frame < count; frame++)
                    up[((start + frame) * factor) + plane] = samples[frame];
            }

            oversampler.Down(returned.AsSpan(start, count));
            start += count;
        }

        return (up, returned);
    }

    private static int UpDelayFrames(int factor)
    {
        var frames = 0;
        for (var rate = 2; rate <= factor; rate *= 2)
        {
            var (pairs, samplesPerFrame) = (HalfBand.Design(PassEdge / rate, Oversampler.AttenuationDb).Length, rate / 2);
            frames += (pairs + samplesPerFrame - 1) / samplesPerFrame;
        }

        return frames;
    }

    private static double[] Filter(int rate) => HalfBandTests.Taps(HalfBand.Design(PassEdge / rate, Oversampler.AttenuationDb));

    private static double[] Convolved(double[] signal, double[] taps)
    {
        var result = new double[signal.Length];
        for (var at = 0; at < result.Length; at++)
        {
            for (var tap = 0; tap < taps.Length; tap++)
            {
                var from = at + (taps.Length / 2) - tap;
                if (from >= 0 && from < signal.Length)
                    result[at] += taps[tap] * signal[from];
            }
        }

        return result;
    }
}
