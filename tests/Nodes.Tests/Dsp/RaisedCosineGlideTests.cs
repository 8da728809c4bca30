using RenderGraph.Nodes.Dsp;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

public class RaisedCosineGlideTests
{
    [Theory]
    [InlineData(1, 0)]
    [InlineData(2, 0)]
    [InlineData(15, 0)]
    [InlineData(15, 9)]
    [InlineData(200, 31)]
    public void TurnsAJumpIntoHalfACosine(int rampSteps, int delaySteps)
    {
        var glide = new RaisedCosineGlide(rampSteps, delaySteps);
        for (var step = 1 - delaySteps; step <= rampSteps + 5; step++)
        {
            var share = (1 - Math.Cos(Math.PI * Math.Clamp(step, 0, rampSteps) / rampSteps)) / 2;
            Assert.Equal(6 * share, glide.Next(6), 1e-13);
        }
    }

    [Fact]
    public void MeetsAHeldTargetAndTheRestBeforeItToTheBit()
    {
        var glide = new RaisedCosineGlide(7, 3);
        double Settle(double target)
        {
            for (var step = 1; step < 10; step++)
                glide.Next(target);
            return glide.Next(target);
        }

        Assert.Equal(0, glide.Next(0));
        Assert.Equal(0.1, Settle(0.1));
        Assert.Equal(1 / 3.0, Settle(1 / 3.0));
        Assert.Equal(0, Settle(0));
    }

    [Fact]
    public void AddsJumpsUp()
    {
        var (both, first, second) = (new RaisedCosineGlide(9, 0), new RaisedCosineGlide(9, 0), new RaisedCosineGlide(9, 0));
        for (var step = 0; step < 30; step++)
        {
            var (early, late) = (step < 3 ? 0 : 2.0, step < 6 ? 0 : 5.0);
            Assert.Equal(first.Next(early) + second.Next(late), both.Next(early + late), 1e-12);
        }
    }
}
