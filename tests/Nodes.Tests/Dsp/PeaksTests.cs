using CsCheck;
using RenderGraph.Nodes.Dsp;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

public class PeaksTests
{
    [Fact]
    public void IsTheLargestAbsoluteSampleOfAnyLength()
    {
        Gen.Select(Gen.Double[0, 1], Gen.Double[-2, 2].Array[0, 40]).Sample((atLeast, samples) =>
            Peaks.Largest(samples, atLeast) == samples.Select(Math.Abs).Append(atLeast).Max());
    }

    [Fact]
    public void RaisesEachLevelToTheSampleThatIsLarger()
    {
        Gen.Select(Gen.Double[0, 1], Gen.Double[-2, 2].Array[0, 40]).Sample((level, samples) =>
        {
            var levels = Enumerable.Repeat(level, samples.Length).ToArray();
            Peaks.Raise(levels, samples);
            return levels.SequenceEqual(samples.Select(sample => Math.Max(level, Math.Abs(sample))));
        });
    }

    [Fact]
    public void CountsWhatIsLargerAndNotWhatIsEqual()
    {
        Gen.Int[-5, 5].Array[0, 40].Sample(numbers =>
            Peaks.CountAbove([.. numbers.Select(number => (double)number)], 2) == numbers.Count(number => number > 2));
    }
}
