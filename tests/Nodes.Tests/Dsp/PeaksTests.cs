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
}
