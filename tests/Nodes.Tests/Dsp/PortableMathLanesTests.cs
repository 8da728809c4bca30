using CsCheck;
using RenderGraph.Nodes.Dsp;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

/// <summary>The slow reference is the function called one by one. Run also with DOTNET_EnableAVX512=0, DOTNET_EnableAVX2=0 and DOTNET_EnableHWIntrinsic=0.</summary>
public class PortableMathLanesTests
{
    private delegate void Many(ReadOnlySpan<double> source, Span<double> target);

    private static readonly double[] Edges =
    [
        0, -0.0, 1, -1, 0.5, -0.5, double.Epsilon, -double.Epsilon, 2.2250738585072014E-308, 2.2250738585072009E-308, 1e-310, double.MaxValue,
        double.MinValue, double.PositiveInfinity, double.NegativeInfinity, double.NaN, 1023, 1024, -1022, -1074, -1075, -1076, 1100, 1e5, 18.9,
        19.1, 22, 23, 0.7071067811865475, 0.7071067811865476, 1.4142135623730951, 1.0000000000000002, 0.9999999999999999,
    ];

    [Fact]
    public void Exp2GivesTheSameBitsInLanes() => Compare(PortableMath.Exp2, PortableMath.Exp2, -1100, 1100);

    [Fact]
    public void Log2GivesTheSameBitsInLanes() => Compare(PortableMath.Log2, PortableMath.Log2, 0, 4);

    [Fact]
    public void TanhGivesTheSameBitsInLanes() => Compare(PortableMath.Tanh, PortableMath.Tanh, -25, 25);

    [Fact]
    public void TheTargetMayBeTheSource()
    {
        double[] values = [.. Enumerable.Range(0, 29).Select(i => (i - 14) * 0.3)];
        var expected = values.Select(PortableMath.Tanh).ToArray();
        PortableMath.Tanh(values, values);
        Assert.Equal(expected, values);
    }

    [Fact]
    public void EveryLengthIsFilledAndNothingBehindIt()
    {
        for (var length = 0; length < 40; length++)
        {
            var source = Enumerable.Range(0, length).Select(i => i + 0.25).ToArray();
            var target = Enumerable.Repeat(-7.0, length + 8).ToArray();
            PortableMath.Log2(source, target.AsSpan(0, length));
            Assert.Equal([.. source.Select(PortableMath.Log2), .. Enumerable.Repeat(-7.0, 8)], target);
        }
    }

    [Fact]
    public void ATargetTooShortIsRefused() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => PortableMath.Exp2(new double[3], new double[2]));

    // Two million numbers a function: half over the usual range, half of any bit pattern; the edges in every lane.
    private static void Compare(Many many, Func<double, double> one, double low, double high)
    {
        double[] everyLane = [.. Edges.SelectMany(x => Enumerable.Repeat(x, 9))];
        Same(many, one, everyLane);
        Gen.Double[low, high].Array[1000].Sample(values => Same(many, one, values), iter: 1000);
        Gen.ULong.Select(BitConverter.UInt64BitsToDouble).Array[1000].Sample(values => Same(many, one, values), iter: 1000);
    }

    private static void Same(Many many, Func<double, double> one, double[] source)
    {
        var target = new double[source.Length];
        many(source, target);
        for (var i = 0; i < source.Length; i++)
        {
            var expected = one(source[i]);
            if (BitConverter.DoubleToInt64Bits(expected) != BitConverter.DoubleToInt64Bits(target[i])
                && !(double.IsNaN(expected) && double.IsNaN(target[i])))
            {
                Assert.Fail($"{source[i]:R} gives {target[i]:R} in lanes, {expected:R} alone");
            }
        }
    }
}
