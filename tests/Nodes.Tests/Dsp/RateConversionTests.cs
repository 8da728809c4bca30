using System.Text.Json;
using CsCheck;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Testing;
using Xunit;
using Xunit.Abstractions;

namespace RenderGraph.Nodes.Tests.Dsp;

/// <summary>Conversion of sample rates against other converters, and against sines, which are known at any rate.</summary>
public sealed class RateConversionTests(ITestOutputHelper output)
{
    // Rates in use, among them those pulled down by 0.1 % for film; and some that have nothing in common with any other, for the grid.
    private static readonly int[] Rates =
    [
        8000, 11025, 12000, 16000, 22050, 24000, 32000, 44056, 44100, 47952, 48000, 48048, 64000, 88200, 96000, 176400, 192000, 352800, 384000, 8009, 44101, 191999, 383987,
    ];

    /// <summary>
    /// Every figure that Reference/resampling.json has of the converters of sox and ffmpeg, beside ours. It must be the best of all, or past what 32-bit samples hold
    /// (-200 dB; a millionth of a decibel or of a frame). The table is in this test's output.
    /// </summary>
    [Fact]
    public void IsNoWorseInAnyFigureThanAnyConverterOfTheReference()
    {
        using var reference = JsonDocument.Parse(File.ReadAllBytes(Path.Join(AppContext.BaseDirectory, "Reference", "resampling.json")));
        foreach (var (fromHz, toHz) in ConverterFigures.Pairs(reference))
        {
            output.WriteLine($"{fromHz} to {toHz}");
            var ours = ConverterFigures.Ours(reference, fromHz, toHz);
            output.WriteLine(ours.Row());
            foreach (var other in ConverterFigures.Others(reference, fromHz, toHz))
            {
                output.WriteLine(other.Row());
                Assert.InRange(ours.PassBandDeviationDb, 0, Math.Max(other.PassBandDeviationDb, 1e-6));
                Assert.InRange(ours.WorstSpuriousDbc, double.NegativeInfinity, Math.Max(other.WorstSpuriousDbc, -200));
                Assert.InRange(ours.WorstToHalfRateDb, double.NegativeInfinity, Math.Max(other.WorstToHalfRateDb, -200));
                if (toHz < fromHz)
                    Assert.InRange(ours.WorstTo20KDb, double.NegativeInfinity, Math.Max(other.WorstTo20KDb, -200));
                Assert.InRange(Math.Abs(ours.PulseErrorFrames), 0, Math.Max(Math.Abs(other.PulseErrorFrames), 1e-6));
                Assert.Equal(other.LengthFrames, ours.LengthFrames);
            }

            // Nearly flat far past 20 kHz, and gone at half the lower rate: the steepest of the reference is 4.0 dB down at 21 kHz and 98 dB at 21.9 kHz of 22.05.
            Assert.InRange(ours.EdgeGainDb[20500], -0.01, 1e-6);
            if (Math.Min(fromHz, toHz) == 44100)
            {
                Assert.InRange(ours.EdgeGainDb[21000], -3, 0);
                Assert.InRange(ours.EdgeGainDb[21900], -200, -98);
            }
        }
    }

    [Fact]
    public void GivesASineOfThePassBandAsItIsAtTheNewRate() =>
        Gen.Select(Gen.Int[0, Rates.Length - 1].Select(index => Rates[index]), Gen.Int[0, Rates.Length - 1].Select(index => Rates[index]), Gen.Double[0.001, 0.999]).Sample((fromHz, toHz, share) =>
        {
            var conversion = Between(fromHz, toHz);
            var lowest = Math.Min(fromHz, toHz);
            var frequencyHz = Math.Max(20, share * RateConversion.PassShare * lowest / 2);
            var reach = (int)Math.Ceiling((double)conversion.ReachFrames * toHz / fromHz);
            var start = reach + 100;
            var result = Convert(conversion, frame => Math.Sin(2 * Math.PI * (frequencyHz * frame / fromHz % 1)), start, 64);
            for (var frame = 0; frame < result.Frames; frame++)
            {
                var exact = Math.Sin(2 * Math.PI * (frequencyHz * (start + frame) / toHz % 1));
                Assert.True(Math.Abs(result[0][frame] - exact) < 3e-9, $"{fromHz} to {toHz}, {frequencyHz} Hz: off by {result[0][frame] - exact} at {start + frame}"); // -170 dB
            }
        }, iter: 60, threads: 1);

    [Fact]
    public void LetsNothingThroughThatTheNewRateCannotHold() =>
        Gen.Select(Gen.Int[0, Rates.Length - 1].Select(index => Rates[index]), Gen.Int[0, Rates.Length - 1].Select(index => Rates[index]), Gen.Double[0, 1]).Where((fromHz, toHz, _) => fromHz > toHz).Sample((fromHz, toHz, share) =>
        {
            var conversion = Between(fromHz, toHz);
            var frequencyHz = (toHz + (share * (fromHz - toHz))) / 2;
            var result = Convert(conversion, frame => Math.Sin(2 * Math.PI * (frequencyHz * frame / fromHz % 1)), (int)((long)conversion.ReachFrames * toHz / fromHz) + 100, 64);
            Assert.True(Signals.Peak(result) < 1e-9, $"{fromHz} to {toHz}, {frequencyHz} Hz: {Spectrum.ToDb(Signals.Peak(result))} dB"); // -180 dB
        }, iter: 40, threads: 1);

    [Theory]
    [InlineData(44100, 48000)]
    [InlineData(48000, 44100)]
    [InlineData(96000, 48000)]
    [InlineData(44101, 96000)] // by the grid
    public void AnyPartEqualsTheWholeBitForBitFromAnyNumberOfThreads(int fromHz, int toHz)
    {
        using var stem = new ConvertedStem(new MemoryStem(Signals.Noise(20_000, channels: 2), fromHz), Between(fromHz, toHz));
        var length = (int)stem.Format.LengthFrames;
        var whole = Signal.Allocate(2, length + 400);
        stem.Read(-200, whole);
        Parallel.For(0, 60, part =>
        {
            var (start, count) = (-200 + (part * 997 % length), 1 + (part * 389 % 1500));
            var read = Signals.Constant(double.NaN, count, 2);
            stem.Read(start, read);
            for (var frame = 0; frame < count; frame++)
            {
                var at = start + frame + 200;
                for (var channel = 0; channel < 2; channel++)
                    Assert.Equal(at < whole.Frames ? whole[channel][at] : 0, read[channel][frame]);
            }
        });
    }

    [Theory]
    [InlineData(44100, 48000, 44100, 48000)]
    [InlineData(48000, 44100, 48000, 44100)]
    [InlineData(44100, 48000, 1, 2)] // a last frame that is begun is there
    [InlineData(48000, 44100, 160, 147)]
    [InlineData(48000, 44100, 161, 148)]
    [InlineData(384000, 8000, 1, 1)]
    [InlineData(8000, 384000, 3, 144)]
    public void IsAsLongAsItWasToTheFrameBegun(int fromHz, int toHz, int frames, int expected)
    {
        using var stem = new ConvertedStem(new MemoryStem(Signals.Constant(1, frames), fromHz), Between(fromHz, toHz));
        Assert.Equal(expected, stem.Format.LengthFrames);
        Assert.Equal(toHz, stem.Format.SampleRateHz);
        Assert.Equal(fromHz, stem.Format.ConvertedFromHz);
        var around = Signals.Constant(double.NaN, expected + 20);
        stem.Read(-10, around);
        for (var frame = 0; frame < around.Frames; frame++)
            Assert.Equal(frame is >= 10 && frame < expected + 10, around[0][frame] != 0);
    }

    [Fact]
    public void AConstantStaysWhatItIs()
    {
        foreach (var (fromHz, toHz) in new[] { (44100, 48000), (48000, 44100), (44101, 48000), (384000, 8000) })
        {
            var result = Convert(Between(fromHz, toHz), _ => 0.7, 2000, 500);
            Assert.InRange(Signals.LargestDifference(result, Signals.Constant(0.7, 500)), 0, 1e-14);
        }
    }

    [Fact]
    public void SilenceStaysSilence()
    {
        using var stem = new ConvertedStem(new MemoryStem(Signals.Silence(5000), 44100), Between(44100, 48000));
        var result = Signals.Constant(1, 3000);
        stem.Read(1000, result);
        Assert.All(result[0].ToArray(), sample => Assert.Equal(0, BitConverter.DoubleToInt64Bits(sample)));
    }

    [Fact]
    public void NoRatioTakesMoreThan32MebibytesOfWeights()
    {
        var before = GC.GetAllocatedBytesForCurrentThread();
        _ = new RateConversion(383987, 8009);
        _ = new RateConversion(8009, 383987);
        _ = new RateConversion(383987, 383981);
        Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - before, 0, 3 * (32 << 20));
    }

    private static RateConversion Between(int fromHz, int toHz) => new(fromHz, toHz);

    /// <summary>Of a stem that has no beginning and no end.</summary>
    private static Signal Convert(RateConversion conversion, Func<long, double> stem, int start, int count)
    {
        var (first, frames) = conversion.InputOf(start, count);
        var input = Signals.Fill(1, frames, (_, frame) => stem(first + frame));
        var result = Signal.Allocate(1, count);
        conversion.Convert(input, start, result);
        return result;
    }
}
