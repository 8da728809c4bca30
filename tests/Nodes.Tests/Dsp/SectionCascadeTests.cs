using CsCheck;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

public sealed class SectionCascadeTests
{
    private static readonly Section[] FiveSections =
    [
        .. SectionDesign.HighPass(30, 18, Alignment.Butterworth, 48000),
        SectionDesign.Bell(60, 2, -5, 48000), SectionDesign.LowShelf(200, 0.7, 3, 48000), SectionDesign.HighShelf(5000, 0.7, -2, 48000),
    ];

    [Fact]
    public void EverySampleIsTheArithmeticThatSectionStates()
    {
        var input = Signals.Noise(3000, channels: 2);
        var output = Run(FiveSections, input, [3000]);
        for (var channel = 0; channel < 2; channel++)
            Assert.True(Signals.AreSameBits(Signals.Mono(Plain(FiveSections, input[channel])), Signals.Mono(output[channel].ToArray())));
    }

    [Fact]
    public void AMonoSignalIsFilteredLikeOneSideOfAStereoSignal()
    {
        var mono = Signals.Noise(3000);
        var stereo = Run(FiveSections, Signals.Stereo(mono, Signals.Noise(3000, seed: 2)), [3000]);
        Assert.True(Signals.AreSameBits(Run(FiveSections, mono, [3000]), Signals.Mono(stereo[0].ToArray())));
    }

    [Fact]
    public void NoCutIntoBlocksChangesABit()
    {
        // A burst, then silence long enough for the states to die away and be set to zero on the way.
        var input = Signals.WithTail(Signals.Noise(700, channels: 2), 3000);
        var sections = new[] { SectionDesign.LowPass(4000, 0.7, 48000), SectionDesign.BandPass(3000, 1, 48000), SectionDesign.HighPassFirstOrder(2000, 48000) };
        var whole = Run(sections, input, [input.Frames]);
        Gen.Int[1, 700].Array[1, 8].Sample(cuts => Signals.AreSameBits(whole, Run(sections, input, cuts)), iter: 200);
    }

    [Fact]
    public void AFilterThatHasDiedAwayIsExactlySilent()
    {
        foreach (var section in FiveSections)
        {
            // 30 Hz dies to -600 dBFS in about half a second.
            var output = Run([section], Signals.WithTail(Signals.Noise(100, channels: 2), 96000), [512]);
            for (var channel = 0; channel < 2; channel++)
            {
                var last = output[channel].LastIndexOfAnyExcept(0.0, -0.0);
                Assert.InRange(last, 100, 60000);
                Assert.DoesNotContain(output[channel][..last].ToArray(), double.IsSubnormal);
            }
        }
    }

    [Fact]
    public void SmallStatesAreOnlySetToZeroOnTheSongsGrid()
    {
        // A tone at -620 dBFS never lets the states out of the range that is flushed; started off the grid, it runs on to the next multiple of 256.
        var section = SectionDesign.LowPass(100, 0.7, 48000);
        var tone = Signals.Constant(1e-31, 600);
        var output = Signals.Silence(600);
        new SectionCascade([section]).Process(200, tone, output);
        var (beforeGrid, onGrid) = (output[0][55], output[0][56]);
        Assert.Equal(beforeGrid, Plain([section], tone[0])[55]);
        Assert.True(onGrid < beforeGrid / 10, "the state was not set to zero at frame 256 of the song");
        Assert.True(output[0][311] > beforeGrid, "the state was set to zero before frame 512 of the song");
    }

    /// <summary>
    /// The steepest filters at 20 Hz and 192 kHz against 28-digit arithmetic in another structure. Measured: -307 dBFS (high-pass), -320 dBFS (low-pass).
    /// </summary>
    [Theory]
    [InlineData(true, -300)]
    [InlineData(false, -315)]
    public void ALowCornerAtAHighRateCostsNoPrecision(bool isHighPass, double mostDbfs)
    {
        // Multiples of 2^-15 are exact in both kinds of number.
        var random = new Random(7);
        var steps = Enumerable.Range(0, 38400).Select(_ => random.Next(-32768, 32768)).ToArray();
        var expected = DecimalCascade.Run([.. steps.Select(step => step / 32768m)], isHighPass, 20, order: 8, 192000);
        var sections = isHighPass
            ? SectionDesign.HighPass(20, 48, Alignment.Butterworth, 192000)
            : SectionDesign.LowPass(20, 48, Alignment.Butterworth, 192000);
        var output = Run(sections, Signals.Mono([.. steps.Select(step => step / 32768.0)]), [4096]);

        var worst = 0m;
        for (var frame = 0; frame < expected.Length; frame++)
            worst = Math.Max(worst, Math.Abs(expected[frame] - Exact(output[0][frame])));
        Assert.InRange(Spectrum.ToDb((double)worst), -400, mostDbfs);
    }

    // A double in full: the language's own conversion keeps 15 digits only.
    private static decimal Exact(double value)
    {
        var high = Math.Round(value * 67108864) / 67108864;
        var low = value - high;
        return ((decimal)(high * 67108864) / 67108864m) + ((decimal)(low * 67108864 * 67108864) / 67108864m / 67108864m);
    }

    private static Signal Run(Section[] sections, Signal input, int[] cuts)
    {
        var output = Signals.Silence(input.Frames, input.Channels);
        var cascade = new SectionCascade(sections);
        for (var (start, index) = (0, 0); start < input.Frames; index++)
        {
            var count = Math.Min(cuts[index % cuts.Length], input.Frames - start);
            cascade.Process(start, input.Slice(start, count), output.Slice(start, count));
            start += count;
        }

        return output;
    }

    private static double[] Plain(Section[] sections, ReadOnlySpan<double> input)
    {
        var samples = input.ToArray();
        foreach (var section in sections)
        {
            var (band, low) = (0.0, 0.0);
            for (var frame = 0; frame < samples.Length; frame++)
            {
                var x = samples[frame];
                var difference = x - low;
                var nextBand = band + ((section.BandDrive * difference) - (section.BandLoss * band));
                var nextLow = low + ((section.BandDrive * band) + (section.LowDrive * difference));
                samples[frame] = (section.InputOut * x) + ((section.BandOut * band) + (section.LowOut * low));
                (band, low) = (nextBand, nextLow);
            }
        }

        return samples;
    }
}
