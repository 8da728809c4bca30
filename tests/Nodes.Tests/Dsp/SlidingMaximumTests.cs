using CsCheck;
using RenderGraph.Nodes.Dsp;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

public class SlidingMaximumTests
{
    [Fact]
    public void IsTheLargestOfTheLastSoMany()
    {
        // Few different numbers, so that equal ones meet.
        Gen.Select(Gen.Int[1, 40], Gen.Int[-3, 9].Array[0, 200]).Sample((length, numbers) =>
        {
            var maximum = new SlidingMaximum(length);
            return numbers.Select((number, index) => maximum.Next(number) == numbers[Math.Max(0, index + 1 - length)..(index + 1)].Max()).All(isSame => isSame);
        });
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(64)]
    [InlineData(1000)]
    public void LetsGoOfALonePeakAfterItsLength(int length)
    {
        var maximum = new SlidingMaximum(length);
        maximum.Next(1);
        for (var step = 1; step < length; step++)
            Assert.Equal(1, maximum.Next(0));
        Assert.Equal(0, maximum.Next(0));
    }
}
