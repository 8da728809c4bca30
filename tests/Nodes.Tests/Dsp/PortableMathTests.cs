using System.Globalization;
using RenderGraph.Nodes.Dsp;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

/// <summary>Against tests/Reference/elementary-functions.csv: true values by mpmath 1.3.0 with 2,400 bits (the script lies beside the table).</summary>
public class PortableMathTests
{
    private static readonly Dictionary<string, Func<double, double>> Functions = new()
    {
        ["sin"] = PortableMath.Sin,
        ["cos"] = PortableMath.Cos,
        ["tan"] = PortableMath.Tan,
        ["exp"] = PortableMath.Exp,
        ["exp2"] = PortableMath.Exp2,
        ["log2"] = PortableMath.Log2,
        ["log"] = PortableMath.Log,
        ["tanh"] = PortableMath.Tanh,
    };

    [Theory]
    [InlineData("sin", 2)]
    [InlineData("cos", 2)]
    [InlineData("tan", 2)]
    [InlineData("exp", 2)]
    [InlineData("exp2", 2)]
    [InlineData("log2", 2)]
    [InlineData("log", 2)]
    [InlineData("tanh", 3)]
    public void LiesWithinAFewUnitsInTheLastPlaceOfTheTrueValue(string name, double allowedUlp)
    {
        var worst = 0.0;
        var at = 0.0;
        var points = 0;
        foreach (var line in File.ReadLines(Path.Combine(AppContext.BaseDirectory, "Reference", "elementary-functions.csv")))
        {
            var cells = line.Split(',');
            if (cells[0] != name)
                continue;

            var (x, value, remainder) = (Number(cells[1]), Number(cells[2]), Number(cells[3]));
            var errorUlp = Math.Abs(Functions[name](x) - value - remainder) / (Math.BitIncrement(Math.Abs(value)) - Math.Abs(value));
            points++;
            if (!(errorUlp <= worst))
                (worst, at) = (errorUlp, x);
        }

        Assert.True(points >= 200, $"only {points} points in the table");
        Assert.True(worst <= allowedUlp, $"{name}({at:R}) is {worst:F2} ulp off");
    }

    [Theory]
    [InlineData("sin", 0.0, 0.0)]
    [InlineData("sin", 4.9406564584124654e-324, 4.9406564584124654e-324)]
    [InlineData("sin", double.PositiveInfinity, double.NaN)]
    [InlineData("sin", 1e7, double.NaN)]
    [InlineData("cos", 0.0, 1.0)]
    [InlineData("cos", 4.9406564584124654e-324, 1.0)]
    [InlineData("cos", double.NegativeInfinity, double.NaN)]
    [InlineData("tan", 1e-300, 1e-300)]
    [InlineData("exp", 0.0, 1.0)]
    [InlineData("exp", 1e-300, 1.0)]
    [InlineData("exp", 710.0, double.PositiveInfinity)]
    [InlineData("exp", -746.0, 0.0)]
    [InlineData("exp", double.PositiveInfinity, double.PositiveInfinity)]
    [InlineData("exp", double.NegativeInfinity, 0.0)]
    [InlineData("exp2", 10.0, 1024.0)]
    [InlineData("exp2", 1023.0, 8.98846567431158e307)]
    [InlineData("exp2", 1024.0, double.PositiveInfinity)]
    [InlineData("exp2", 1e300, double.PositiveInfinity)]
    [InlineData("exp2", -1022.0, 2.2250738585072014e-308)]
    [InlineData("exp2", -1074.0, 4.9406564584124654e-324)]
    [InlineData("exp2", -1076.0, 0.0)]
    [InlineData("exp2", double.NegativeInfinity, 0.0)]
    [InlineData("log2", 0.0, double.NegativeInfinity)]
    [InlineData("log2", 1.0, 0.0)]
    [InlineData("log2", 1024.0, 10.0)]
    [InlineData("log2", 4.9406564584124654e-324, -1074.0)]
    [InlineData("log2", 2.2250738585072014e-308, -1022.0)]
    [InlineData("log2", -1.0, double.NaN)]
    [InlineData("log2", double.NegativeInfinity, double.NaN)]
    [InlineData("log2", double.PositiveInfinity, double.PositiveInfinity)]
    [InlineData("log", 0.0, double.NegativeInfinity)]
    [InlineData("log", 1.0, 0.0)]
    [InlineData("log", -1e-320, double.NaN)]
    [InlineData("log", double.PositiveInfinity, double.PositiveInfinity)]
    [InlineData("tanh", 4.9406564584124654e-324, 4.9406564584124654e-324)]
    [InlineData("tanh", -1e-200, -1e-200)]
    [InlineData("tanh", 19.1, 1.0)]
    [InlineData("tanh", -1e300, -1.0)]
    [InlineData("tanh", double.PositiveInfinity, 1.0)]
    [InlineData("tanh", double.NegativeInfinity, -1.0)]
    public void IsExactAtTheEdges(string name, double x, double expected)
    {
        // By IEEE 754-2008, 9.2.1, where it names the case.
        Assert.Equal(BitConverter.DoubleToInt64Bits(expected), BitConverter.DoubleToInt64Bits(Functions[name](x)));
    }

    [Theory]
    [InlineData("sin", -0.0)]
    [InlineData("tan", -0.0)]
    [InlineData("tanh", -0.0)]
    [InlineData("cos", 1.0)]
    [InlineData("exp", 1.0)]
    [InlineData("exp2", 1.0)]
    [InlineData("log", double.NegativeInfinity)]
    [InlineData("log2", double.NegativeInfinity)]
    public void IsExactAtNegativeZero(string name, double expected)
    {
        Assert.Equal(BitConverter.DoubleToInt64Bits(expected), BitConverter.DoubleToInt64Bits(Functions[name](-0.0)));
    }

    [Fact]
    public void KeepsNotANumber()
    {
        Assert.All(Functions, entry => Assert.True(double.IsNaN(entry.Value(double.NaN)), entry.Key));
    }

    [Fact]
    public void IsExactForWholePowersOfTwo()
    {
        for (var k = -1074; k <= 1023; k++)
        {
            var power = Math.ScaleB(1, k);
            Assert.Equal(power, PortableMath.Exp2(k));
            Assert.Equal(k, PortableMath.Log2(power));
        }
    }

    [Fact]
    public void NeverLeavesTheRangeOfAHyperbolicTangent()
    {
        for (var x = 0.0; x < 25; x += 0.001)
            Assert.InRange(PortableMath.Tanh(x), 0, 1);
    }

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);
}
