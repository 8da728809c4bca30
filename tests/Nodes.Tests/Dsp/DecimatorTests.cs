using RenderGraph.Nodes.Dsp;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

public sealed class DecimatorTests
{
    private const int Rate = 48000, Factor = 32;
    private const double PassHz = 400;

    [Theory]
    [InlineData(20)]
    [InlineData(60)]
    [InlineData(300)]
    [InlineData(400)]
    public void KeepsALowSineAtItsLevelAndPlace(double frequencyHz)
    {
        var low = Run(Signals.Sine(frequencyHz, Rate, 96000)[0], 4096);
        Assert.Equal(3000, low.Length);

        // Away from the ends, where the sine is cut off.
        for (var sample = 200; sample < 2800; sample++)
            Assert.Equal(Math.Sin(2 * Math.PI * frequencyHz * sample * Factor / Rate), low[sample], 2e-4);
    }

    [Theory]
    [InlineData(1101)]
    [InlineData(1500)]
    [InlineData(5601)]
    [InlineData(6000)]
    [InlineData(12345)]
    [InlineData(23999)]
    public void KeepsWhatWouldFoldIntoTheLowEndAtLeastAHundredDecibelsDown(double frequencyHz)
    {
        // Only what folds to 400 Hz and below matters.
        var folded = Math.Abs(frequencyHz - (1500 * Math.Round(frequencyHz / 1500)));
        var low = Run(Signals.Sine(frequencyHz, Rate, 96000, phaseRadians: 1)[0], 4096);
        if (folded <= PassHz)
            Assert.True(low[200..2800].Max(Math.Abs) < 1e-5, $"{frequencyHz} Hz folds to {folded} Hz at {20 * Math.Log10(low[200..2800].Max(Math.Abs)):0.0} dB");
    }

    [Fact]
    public void BlocksChangeNoBit()
    {
        var noise = Signals.Noise(20000)[0];
        var whole = Run(noise, 20000);
        foreach (var blockFrames in (int[])[1, 7, 64, 999, 4096])
            Assert.Equal(whole, Run(noise, blockFrames));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(4)]
    [InlineData(16)]
    [InlineData(64)]
    [InlineData(128)]
    public void GivesOneSampleForEveryFactorFramesBegun(int factor)
    {
        foreach (var frames in (int[])[0, 1, factor - 1, factor, factor + 1, 1000])
        {
            var decimator = new Decimator(factor, PassHz, 1500.0 * factor);
            var target = new double[Decimator.MostSamples(frames, factor) + 64];
            var count = decimator.Process(new double[frames], target);
            count += decimator.Finish(target);
            Assert.Equal((frames + factor - 1) / factor, count);
        }
    }

    private static double[] Run(ReadOnlySpan<double> source, int blockFrames)
    {
        var decimator = new Decimator(Factor, PassHz, Rate);
        var (low, target) = (new List<double>(), new double[Decimator.MostSamples(Math.Max(blockFrames, 4096), Factor) + 64]);
        for (var start = 0; start < source.Length; start += blockFrames)
            low.AddRange(target.AsSpan(0, decimator.Process(source.Slice(start, Math.Min(blockFrames, source.Length - start)), target)));
        low.AddRange(target.AsSpan(0, decimator.Finish(target)));
        return [.. low];
    }
}
