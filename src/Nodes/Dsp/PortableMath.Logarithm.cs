using System.Runtime.CompilerServices;
using RenderGraph.Nodes.Dsp.Lanes;

namespace RenderGraph.Nodes.Dsp;

public static partial class PortableMath
{
    private const double SmallestNormal = 2.2250738585072014E-308;
    private const double TwoTo54 = 18014398509481984.0;

    // 1 / ln 2 in two parts; the first has 32 bits, so that its product with a number of 21 bits is exact.
    private const double Log2OfEHigh = 1.4426950407214463, Log2OfELow = 1.6751713164886512e-10;

    /// <summary>The logarithm to base 2. Exact for powers of 2; minus infinity at 0, NaN below.</summary>
    public static double Log2(double x) => default(Log2Function).Apply(Lanes1.All(x)).Value;

    /// <summary>The same bits as one by one, in lanes. The target may be the source.</summary>
    public static void Log2(ReadOnlySpan<double> source, Span<double> target) => LaneLoop.Map(default(Log2Function), source, target);

    /// <summary>The natural logarithm. Minus infinity at 0, NaN below.</summary>
    public static double Log(double x) => default(LogFunction).Apply(Lanes1.All(x)).Value;

    // x = 2^k (1 + f), 1 + f between the square roots of 1/2 and 2.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static (T K, T F) ExponentAndFraction<T>(T x)
        where T : unmanaged, IFormulaLanes<T>
    {
        var smallest = T.All(SmallestNormal);
        var correction = T.WhereLess(x, smallest, T.All(ExponentBias + 54), T.All(ExponentBias));
        x = T.WhereLess(x, smallest, x * T.All(TwoTo54), x);

        // Moves the border between two exponents from 1 to the square root of 1/2.
        const long RootOfHalf = 0x3FE6A09E667F3BCD;
        const long One = 0x3FF0000000000000;
        var moved = T.AddBits(x, One - RootOfHalf);
        return (T.BiasedExponent(moved) - correction, T.AddBits(T.MantissaBits(moved), RootOfHalf) - T.All(1));
    }

    // log(1 + f) - f + f^2 / 2, from the series of 2 artanh(f / (2 + f)).
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static T LogRest<T>(T f, T halfSquare)
        where T : unmanaged, IFormulaLanes<T>
    {
        var s = f / (T.All(2) + f);
        var z = s * s;
        var w = z * z;
        var even = T.All(0.39999999999899444) + (w * (T.All(0.22222211130259878) + (w * T.All(0.15331710618210773))));
        var odd = T.All(0.666666666666667) + (w * (T.All(0.2857142862600327) + (w * (T.All(0.18182889455674947)
            + (w * T.All(0.14616585424888623))))));
        return s * (halfSquare + ((z * odd) + (w * even)));
    }

    // What no formula gives: the logarithm of 0, of a negative number, of infinity.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static T WithLimits<T>(T x, T logarithm)
        where T : unmanaged, IFormulaLanes<T>
    {
        var zero = T.All(0);
        var below = T.WhereLess(x, zero, T.All(double.NaN), T.All(double.NegativeInfinity));
        return T.WhereLess(x, T.All(double.PositiveInfinity), T.WhereLess(zero, x, logarithm, below), x);
    }

    private readonly struct Log2Function : ILaneFunction
    {
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public T Apply<T>(T x)
            where T : unmanaged, IFormulaLanes<T>
        {
            var (k, f) = ExponentAndFraction(x);
            var halfSquare = T.All(0.5) * f * f;
            var rest = LogRest(f, halfSquare);

            // f - halfSquare + rest is the natural logarithm. Its upper half is multiplied exactly, so that the product costs no accuracy.
            var high = T.UpperHalf(f - halfSquare);
            var low = f - high - halfSquare + rest;
            var large = high * T.All(Log2OfEHigh);
            var small = ((low + high) * T.All(Log2OfELow)) + (low * T.All(Log2OfEHigh));
            var sum = k + large;
            return WithLimits(x, small + (k - sum + large) + sum);
        }
    }

    private readonly struct LogFunction : ILaneFunction
    {
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public T Apply<T>(T x)
            where T : unmanaged, IFormulaLanes<T>
        {
            var (k, f) = ExponentAndFraction(x);
            var halfSquare = T.All(0.5) * f * f;
            var rest = LogRest(f, halfSquare) + (k * T.All(Ln2Low));
            return WithLimits(x, (k * T.All(Ln2High)) - (halfSquare - rest - f));
        }
    }
}
