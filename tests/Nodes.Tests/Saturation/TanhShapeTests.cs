using CsCheck;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Dsp.Lanes;
using RenderGraph.Nodes.Saturation;
using Xunit;

namespace RenderGraph.Nodes.Tests.Saturation;

/// <summary>Against <see cref="PortableMath.Tanh(double)"/>, which its own tests hold to a table of higher precision.</summary>
public class TanhShapeTests
{
    [Fact]
    public void IsTheTangentTo200DbBelowFullScaleAndAsNearToWhatIsSmall()
    {
        var (worst, worstRelative) = (0.0, 0.0);
        for (var step = 1; step <= 2_000_000; step++)
        {
            var x = step * 1e-5;
            var error = Math.Abs(Shape(x) - PortableMath.Tanh(x));
            worst = Math.Max(worst, error);
            worstRelative = Math.Max(worstRelative, error / PortableMath.Tanh(x));
        }

        Assert.InRange(worst, 0, 1e-10);
        Assert.InRange(worstRelative, 0, 5e-10);
        for (var x = 1e-12; x < 1e-5; x *= 2)
            Assert.Equal(1, Shape(x) / x, 5e-10);
    }

    [Fact]
    public void NeverFallsByMoreThanRounding()
    {
        var last = 0.0;
        for (var step = 1; step <= 2_000_000; step++)
        {
            var next = Shape(step * 1e-5);
            Assert.True(next >= last - 2e-16, $"falls from {last:R} to {next:R} at {step * 1e-5:R}");
            last = next;
        }

        // Where one stretch of the polynomial ends and the next begins: at half-odd scaled arguments, from one number to the next.
        for (var edge = 0.5; edge < 64; edge++)
        {
            var (before, after) = (edge, edge);
            for (var neighbour = 0; neighbour < 100; neighbour++)
            {
                (before, after) = (Math.BitDecrement(before), Math.BitIncrement(after));
                Assert.True(Scaled(after) >= Scaled(before) - 4e-16, $"a step at {edge}");
            }

            Assert.True(Scaled(edge * (1 + 1e-13)) - Scaled(edge * (1 - 1e-13)) < 1e-12, $"a jump at {edge}");
        }
    }

    [Fact]
    public void IsOddExactlyZeroAtZeroAndExactlyOneFarOut()
    {
        Assert.True(double.IsNegative(Shape(-0.0)));
        Assert.Equal(0, Shape(0));
        foreach (var x in new[] { 19.1, 22, 1e5, 1e300, double.MaxValue, double.PositiveInfinity })
            Assert.Equal((1.0, -1.0), (Shape(x), Shape(-x)));
        Gen.Double[-30, 30].Sample(x => Shape(-x) == -Shape(x) && Math.Abs(Shape(x)) <= 1);
    }

    private static double Shape(double x) => Scaled(x * TanhShape.PerArgument);

    private static double Scaled(double scaled) => TanhShape.Of(Lanes1.All(scaled)).Value;
}
