namespace RenderGraph.Nodes.Dsp;

public static partial class PortableMath
{
    private const double Log2OfE = 1.4426950408889634;

    // The logarithm of 2 in two parts; k times the first is exact for every exponent k.
    private const double Ln2High = 0.6931471805592082, Ln2Low = 7.371002565167799e-13;

    /// <summary>2 to the power of x. Exact for whole x; past 1024 infinite, below -1075 zero.</summary>
    public static double Exp2(double x)
    {
        // Beyond these the answer no longer changes, and the two factors below stay ordinary numbers.
        x = x > 1100 ? 1100 : x;
        x = x < -1100 ? -1100 : x;
        var rounded = x + Rounder;
        var k = rounded - Rounder;
        return Scaled(1 + Exp2Rest(x - k), k);
    }

    /// <summary>e to the power of x. Past 709.8 infinite, below -745.2 zero.</summary>
    public static double Exp(double x)
    {
        x = x > 800 ? 800 : x;
        x = x < -800 ? -800 : x;
        var k = (x * Log2OfE) + Rounder - Rounder;
        return Scaled(1 + ExpRest(x - (k * Ln2High) - (k * Ln2Low)), k);
    }

    /// <summary>The hyperbolic tangent: 1 to the last bit from 19.1 on; keeps the sign of zero.</summary>
    public static double Tanh(double x)
    {
        // tanh|x| = t / (t + 2) with t = exp(2|x|) - 1, put together so that nothing cancels.
        var twice = 2 * (Math.Abs(x) > 22 ? 22 : Math.Abs(x));
        var rounded = (twice * Log2OfE) + Rounder;
        var k = rounded - Rounder;
        var power = PowerOfTwo(rounded);
        var t = (power * ExpRest(twice - (k * Ln2High) - (k * Ln2Low))) + (power - 1);
        return Math.CopySign(t / (t + 2), x);
    }

    // Two factors, so that a result below the smallest normal number is rounded once only.
    private static double Scaled(double mantissa, double k)
    {
        var half = (k * 0.5) + Rounder;
        var other = k - (half - Rounder) + Rounder;
        return mantissa * PowerOfTwo(half) * PowerOfTwo(other);
    }

    // 2^r - 1 for |r| <= 1/2.
    private static double Exp2Rest(double r)
    {
        var z = r * r;
        var even = 0.6931471805599453 + (z * (0.0555041086648216 + (z * (0.0013333558146415105 + (z * (1.5252733832182666e-05
            + (z * (1.0178061237148255e-07 + (z * 4.455175735101196e-10)))))))));
        var odd = 0.24022650695910097 + (z * (0.009618129107606862 + (z * (0.0001540353044178072 + (z * (1.321544256070216e-06
            + (z * 7.072591391653994e-09)))))));
        return (r * even) + (z * odd);
    }

    // e^r - 1 for |r| <= ln 2 / 2, close to r in relative terms too.
    private static double ExpRest(double r)
    {
        var z = r * r;
        var even = 0.16666666666666669 + (z * (0.008333333333330062 + (z * (0.00019841269863053618 + (z * (2.7557268459997064e-06
            + (z * 2.510038549551032e-08)))))));
        var odd = 0.041666666666666664 + (z * (0.0013888888888886552 + (z * (2.4801587317144498e-05 + (z * (2.755728296954995e-07
            + (z * 2.0911236630261545e-09)))))));
        return r + (z * (0.5 + ((r * even) + (z * odd))));
    }
}
