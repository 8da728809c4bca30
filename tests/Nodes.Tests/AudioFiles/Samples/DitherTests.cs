using System.Runtime.Intrinsics;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Nodes.AudioFiles.Samples;
using Xunit;
namespace RenderGraph.Nodes.Tests.AudioFiles.Samples;

/// <summary>
/// The noise against what a triangular distribution from -1 to 1 must be: mean 0, variance 1/6, and no memory. Bounds are 5 standard
/// deviations of the estimate: 1 honest generator in a million fails one, and ours always gives the same numbers.
/// </summary>
public sealed class DitherTests
{
    private const int Count = 1 << 18;
    private const double Bound = 5;

    /// <summary>Variance of the sum of two uniform numbers of width 1.</summary>
    private const double Variance = 1.0 / 6;

    [Theory]
    [InlineData("mix", 0, 0u)]
    [InlineData("mix", 1, 0u)]
    [InlineData("sub-monitor", 0, 0u)]
    [InlineData("", 1, 3u)]
    public void IsTriangularWithoutMean(string name, int channel, uint upperFrame)
    {
        var noise = Noise(name, channel, upperFrame);

        Assert.All(noise, x => Assert.InRange(x, -1, 1));
        Assert.InRange(noise.Average(), -Bound * Math.Sqrt(Variance / Count), Bound * Math.Sqrt(Variance / Count));

        // The fourth moment is 1/15, so the square's variance is 1/15 - 1/36.
        var spread = Bound * Math.Sqrt(((1.0 / 15) - (1.0 / 36)) / Count);
        Assert.InRange(noise.Average(x => x * x), Variance - spread, Variance + spread);

        // 16 classes over -1..1: Pearson's statistic of 15 degrees of freedom has mean 15 and variance 30.
        var classes = new double[16];
        foreach (var x in noise)
            classes[Math.Min(15, (int)((x + 1) * 8))]++;
        var statistic = classes.Select((found, i) =>
        {
            var middle = Math.Abs(((i + 0.5) / 8) - 1);
            var expected = Count * (1 - middle) / 8;
            return (found - expected) * (found - expected) / expected;
        }).Sum();
        Assert.InRange(statistic, 0, 15 + (Bound * Math.Sqrt(30)));
    }

    [Fact]
    public void RemembersNothingOverAnyShortDistance()
    {
        var noise = Noise("mix", 0, 0);
        for (var distance = 1; distance <= 1024; distance++)
            Assert.InRange(Correlation(noise, noise, distance), -0.0117, 0.0117);
    }

    [Fact]
    public void ChannelsNamesAndFarFramesAreIndependent()
    {
        var noise = Noise("mix", 0, 0);
        foreach (var other in new[] { Noise("mix", 1, 0), Noise("mix2", 0, 0), Noise("sub-monitor", 0, 0), Noise("mix", 0, 1) })
        {
            for (var distance = -128; distance <= 128; distance++)
                Assert.InRange(Correlation(noise, other, distance), -0.0117, 0.0117);
        }
    }

    [Fact]
    public void ASingleChangedBitOfTheFrameNumberChangesAllBitsHalfTheTime()
    {
        var dither = new Dither(Dither.Seed("mix"), 0, 0);
        for (var bit = 0; bit < 32; bit++)
        {
            var product = 0.0;
            for (var frame = 0u; frame < Count; frame++)
                product += dither.At(frame * 16381) * dither.At((frame * 16381) ^ (1u << bit));
            Assert.InRange(product / Count / Variance, -0.0117 * 2, 0.0117 * 2);
        }
    }

    /// <summary>Against the published vectors of FNV-1a 64: "", "a", "foobar".</summary>
    [Theory]
    [InlineData("", 0xCBF29CE484222325)]
    [InlineData("a", 0xAF63DC4C8601EC8C)]
    [InlineData("foobar", 0x85944171F73967E8)]
    public void ANameBecomesTheSeedThatFnvDefines(string name, ulong expected) => Assert.Equal(expected, Dither.Seed(name));

    [Fact]
    public void FourAtOnceAreTheSameBitsAsOneByOne()
    {
        var dither = new Dither(12345, 1, 7);
        for (var frame = uint.MaxValue - 4002; frame != 4001; frame += 4)
        {
            var four = dither.At(Vector128.Create(frame) + Vector128.Create(0u, 1, 2, 3));
            for (var lane = 0; lane < 4; lane++)
                Assert.Equal(BitConverter.DoubleToInt64Bits(dither.At(frame + (uint)lane)), BitConverter.DoubleToInt64Bits(four[lane]));
        }
    }

    private static double[] Noise(string name, int channel, uint upperFrame)
    {
        var dither = new Dither(Dither.Seed(name), channel, upperFrame);
        return [.. Enumerable.Range(0, Count).Select(frame => dither.At((uint)frame))];
    }

    /// <summary>1 for the same, 0 for strangers; of strangers, it spreads by 1/sqrt(n), and 0.0117 is 6 times that.</summary>
    private static double Correlation(double[] a, double[] b, int distance)
    {
        double sum = 0;
        for (var i = 1024; i < Count - 2048; i++)
            sum += a[i] * b[i + distance];
        return sum / (Count - 3072) / Variance;
    }
}
