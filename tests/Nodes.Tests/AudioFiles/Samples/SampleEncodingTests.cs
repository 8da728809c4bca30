using CsCheck;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Nodes.Tests.AudioFiles.Writing;
using RenderGraph.Testing;
using Xunit;
namespace RenderGraph.Nodes.Tests.AudioFiles.Samples;

/// <summary>What becomes of samples on their way into a file, seen in the file.</summary>
public sealed class SampleEncodingTests
{
    [Theory]
    [InlineData(SampleEncoding.Pcm16)]
    [InlineData(SampleEncoding.Pcm24)]
    [InlineData(SampleEncoding.Pcm32)]
    [InlineData(SampleEncoding.Float32)]
    public void BytesDoNotDependOnHowTheSignalIsCut(SampleEncoding encoding)
    {
        using var folder = new TempFolder();
        var signal = Signals.Noise(9001, channels: 2);
        Written.To(folder["whole.wav"], encoding, signal, blockFrames: 9001);
        var whole = File.ReadAllBytes(folder["whole.wav"]);
        foreach (var blockFrames in new[] { 1, 64, 777, 2048, 2049 })
        {
            Written.To(folder["cut.wav"], encoding, signal, blockFrames: blockFrames);
            Assert.Equal(whole, File.ReadAllBytes(folder["cut.wav"]));
        }
    }

    /// <summary>The second start lies across the place where the dither takes its next key.</summary>
    [Theory]
    [InlineData(0L)]
    [InlineData((1L << 32) - 1503)]
    public void APartEqualsTheSamePartOfTheWhole(long firstFrame)
    {
        using var folder = new TempFolder();
        var signal = Signals.Noise(3000, channels: 2);
        Written.To(folder["whole.wav"], SampleEncoding.Pcm16, signal, firstFrame: firstFrame);
        Written.To(folder["part.wav"], SampleEncoding.Pcm16, signal.Slice(1234, 1000), firstFrame: firstFrame + 1234);

        var whole = Opened.At(folder["whole.wav"]).Samples.Slice(1234, 1000);
        var part = Opened.At(folder["part.wav"]).Samples;

        Assert.Equal(whole[0].ToArray(), part[0].ToArray());
        Assert.Equal(whole[1].ToArray(), part[1].ToArray());
    }

    [Fact]
    public void AnotherNameGivesOtherNoise()
    {
        using var folder = new TempFolder();
        var signal = Signals.Noise(1000, channels: 1);
        Written.To(folder["a.wav"], SampleEncoding.Pcm16, signal, name: "mix");
        Written.To(folder["b.wav"], SampleEncoding.Pcm16, signal, name: "sub-monitor");

        Assert.NotEqual(File.ReadAllBytes(folder["a.wav"]), File.ReadAllBytes(folder["b.wav"]));
    }

    [Theory]
    [InlineData(SampleEncoding.Pcm16, 15)]
    [InlineData(SampleEncoding.Pcm24, 23)]
    [InlineData(SampleEncoding.Pcm32, 31)]
    public void WhatIsAWholeNumberOfStepsIsStoredAsItIs(SampleEncoding encoding, int exponent)
    {
        using var folder = new TempFolder();
        var step = 1.0 / (1L << exponent);
        double[] samples = [0, -0.0, step, -step, 1 - step, -1, 0.5, 12345 * step];
        var summary = Written.To(folder["out.wav"], encoding, new(samples, 0, samples.Length, 1, samples.Length));

        Assert.Equal(samples, Opened.At(folder["out.wav"]).Samples[0].ToArray());
        Assert.Equal(0, summary.ClippedSamples);
    }

    /// <summary>Theory of triangular dither (Wannamaker, Lipshitz, Vanderkooy and Wright 2000, from memory): the error's mean is 0 and its variance 1/4 of a step squared, whatever the signal.</summary>
    [Fact]
    public void RoundingLeavesNoTraceOfTheSignalInMeanOrNoise()
    {
        using var folder = new TempFolder();
        const int frames = 1 << 18;
        var dither = new Signal(new double[frames], 0, frames, 1, frames);
        foreach (var fraction in new[] { 0.125, 0.25, 0.5, 0.7, 0.999 })
        {
            dither[0].Fill((100 + fraction) / 32768);
            Written.To(folder["out.wav"], SampleEncoding.Pcm16, dither);
            var errors = Opened.At(folder["out.wav"]).Samples[0].ToArray().Select(sample => (sample * 32768) - (100 + fraction)).ToList();

            // 5 standard deviations of the mean; the square's spread is below 0.3 for every fraction.
            Assert.InRange(errors.Average(), -5 * Math.Sqrt(0.25 / frames), 5 * Math.Sqrt(0.25 / frames));
            Assert.InRange(errors.Average(error => error * error), 0.25 - (5 * 0.3 / Math.Sqrt(frames)), 0.25 + (5 * 0.3 / Math.Sqrt(frames)));
        }
    }

    [Fact]
    public void OverRangeIsHeldAndCountedAndFullScaleItselfIsNot()
    {
        using var folder = new TempFolder();
        double[] samples = [1, -1, 1.00001, -1.00001, 1.0001, -1.0001, 7, -7, 1e300, -1e300];
        var summary = Written.To(folder["out.wav"], SampleEncoding.Pcm16, new(samples, 0, samples.Length, 1, samples.Length));

        var stored = Opened.At(folder["out.wav"]).Samples[0].ToArray();
        Assert.Equal(32767 / 32768.0, stored[0]);
        Assert.Equal(-1, stored[1]);
        Assert.All(stored[4..], (sample, i) => Assert.Equal(i % 2 == 0 ? 32767 / 32768.0 : -1, sample));
        Assert.Equal(6, summary.ClippedSamples);
        Assert.Equal(1e300, summary.PeakAmplitude);
    }

    [Fact]
    public void FloatsKeepOverRangeAndLoseTheSignOfZero()
    {
        using var folder = new TempFolder();
        double[] samples = [-0.0, 2.5, -2.5, 0.1, -1e-60, 1 / 3.0, 1e-40];
        var summary = Written.To(folder["out.wav"], SampleEncoding.Float32, new(samples, 0, samples.Length, 1, samples.Length));

        var stored = Opened.At(folder["out.wav"]).Samples[0].ToArray();
        Assert.Equal([0, 2.5, -2.5, 0.1f, 0, 1 / 3f, 1e-40f], stored);
        Assert.All(stored, sample => Assert.False(sample == 0 && double.IsNegative(sample)));
        Assert.Equal(0, summary.ClippedSamples);
        Assert.Equal(2.5, summary.PeakAmplitude);
    }

    [Theory]
    [InlineData(SampleEncoding.Pcm16, double.NaN)]
    [InlineData(SampleEncoding.Pcm24, double.PositiveInfinity)]
    [InlineData(SampleEncoding.Float32, double.NegativeInfinity)]
    [InlineData(SampleEncoding.Float32, 1e39)]
    public void WhatIsNoFiniteNumberIsRefusedBeforeItsBlockIsWritten(SampleEncoding encoding, double poison)
    {
        using var folder = new TempFolder();
        foreach (var place in new[] { 0, 3, 4, 150, 199 })
        {
            var signal = Signals.Noise(300, channels: 2);
            using var writer = new DiskAudioFiles().CreateOutput(Written.Format(folder["out.wav"], encoding, signal, firstFrame: 1000));
            writer.Write(signal.Slice(0, 100));
            signal[1][100 + place] = poison;

            var thrown = Assert.Throws<OutputException>(() => writer.Write(signal.Slice(100, 200)));

            Assert.Equal(
                $"{folder["out.wav"]}: RG403: frame {(1100 + place).ToString("N0", System.Globalization.CultureInfo.InvariantCulture)} of the song is no finite number, or too large for a file. Lower what is fed into the output, or bypass its nodes one by one to find the one that runs away.",
                thrown.Message);
            Assert.Equal(100, writer.Finish().Frames);
        }
    }

    [Fact]
    public void ThePeakIsTheLargestSampleBeforeRounding()
        => Gen.Double[-2, 2].Array[1, 50].Sample(samples =>
        {
            using var folder = new TempFolder();
            var summary = Written.To(folder["out.wav"], SampleEncoding.Pcm16, new(samples, 0, samples.Length, 1, samples.Length));
            return summary.PeakAmplitude == samples.Max(Math.Abs);
        }, iter: 100, threads: 1);
}
