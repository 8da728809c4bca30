namespace RenderGraph.Nodes.Dsp;

public static partial class PortableMath
{
    private const double SmallestNormal = 2.2250738585072014E-308;
    private const double TwoTo54 = 18014398509481984.0;

    // 1 / ln 2 in two parts; the first has 32 bits, so that its product with a number of 21 bits is exact.
    private const double Log2OfEHigh = 1.4426950407214463, Log2OfELow = 1.6751713164886512e-10;

    /// <summary>The logarithm to base 2. Exact for powers of 2; minus infinity at 0, NaN below.</summary>
    public static double Log2(double x)
    {
        var (k, f) = ExponentAndFraction(x);
        var halfSquare = 0.5 * f * f;
        var rest = LogRest(f, halfSquare);

        // f - halfSquare + rest is the natural logarithm. Its upper half is multiplied exactly, so that the product costs no accuracy.
        var high = UpperHalf(f - halfSquare);
        var low = f - high - halfSquare + rest;
        var large = high * Log2OfEHigh;
        var small = ((low + high) * Log2OfELow) + (low * Log2OfEHigh);
        var sum = k + large;
        return Limits(x, small + (k - sum + large) + sum);
    }

    /// <summary>The natural logarithm. Minus infinity at 0, NaN below.</summary>
    public static double Log(double x)
    {
        var (k, f) = ExponentAndFraction(x);
        var halfSquare = 0.5 * f * f;
        return Limits(x, (k * Ln2High) - (halfSquare - (LogRest(f, halfSquare) + (k * Ln2Low)) - f));
    }

    // x = 2^k (1 + f), 1 + f between the square roots of 1/2 and 2.
    private static (double K, double F) ExponentAndFraction(double x)
    {
        var isTiny = x < SmallestNormal;
        var bits = BitConverter.DoubleToInt64Bits(isTiny ? x * TwoTo54 : x);

        // Moves the border between two exponents from 1 to the square root of 1/2.
        const long Shift = 0x3FF0000000000000 - 0x3FE6A09E667F3BCD;
        var biased = (long)((ulong)(bits + Shift) >> MantissaBits);
        var mantissa = BitConverter.Int64BitsToDouble(bits - (biased << MantissaBits) + ((long)ExponentBias << MantissaBits));
        var k = BitConverter.Int64BitsToDouble(biased | 0x4330000000000000) - (4503599627370496.0 + ExponentBias);
        return (isTiny ? k - 54 : k, mantissa - 1);
    }

    // log(1 + f) - f + f^2 / 2, from the series of 2 artanh(f / (2 + f)).
    private static double LogRest(double f, double halfSquare)
    {
        var s = f / (2 + f);
        var z = s * s;
        var w = z * z;
        var even = 0.39999999999899444 + (w * (0.22222211130259878 + (w * 0.15331710618210773)));
        var odd = 0.666666666666667 + (w * (0.2857142862600327 + (w * (0.18182889455674947 + (w * 0.14616585424888623)))));
        return s * (halfSquare + ((z * odd) + (w * even)));
    }

    private static double UpperHalf(double x) =>
        BitConverter.Int64BitsToDouble(BitConverter.DoubleToInt64Bits(x) & unchecked((long)0xFFFFFFFF00000000));

    private static double Limits(double x, double logarithm)
    {
        logarithm = x < double.PositiveInfinity ? logarithm : x;
        logarithm = x == 0 ? double.NegativeInfinity : logarithm;
        return x < 0 ? double.NaN : logarithm;
    }
}
