namespace RenderGraph.Nodes.Dsp;

public static partial class PortableMath
{
    /// <summary>Sine, cosine and tangent answer up to this many radians either way, and with NaN beyond.</summary>
    public const double MaxAngle = 1048576;

    private const double TwoOverPi = 0.6366197723675814;

    // A quarter turn in four parts of 33 bits (the last of 53): k times the first three is exact up to k = 2^20.
    private const double Quarter1 = 1.5707963267341256, Quarter2 = 6.077100506303966e-11;
    private const double Quarter3 = 2.0222662487111665e-21, Quarter4 = 8.4784276603689e-32;

    /// <summary>The sine of an angle in radians, up to <see cref="MaxAngle"/> either way.</summary>
    public static double Sin(double x)
    {
        if (x == 0)
            return x;

        var (r, low, quadrant) = Reduce(x);
        var (high, rest) = (quadrant & 1) == 0 ? SineParts(r, low) : CosineParts(r, low);
        return (quadrant & 2) == 0 ? high + rest : -(high + rest);
    }

    /// <summary>The cosine of an angle in radians, up to <see cref="MaxAngle"/> either way.</summary>
    public static double Cos(double x)
    {
        var (r, low, quadrant) = Reduce(x);
        var (high, rest) = (quadrant & 1) == 0 ? CosineParts(r, low) : SineParts(r, low);
        return ((quadrant + 1) & 2) == 0 ? high + rest : -(high + rest);
    }

    /// <summary>The tangent of an angle in radians, up to <see cref="MaxAngle"/> either way.</summary>
    public static double Tan(double x)
    {
        if (x == 0)
            return x;

        var (r, low, quadrant) = Reduce(x);
        var (sine, sineRest) = Rounded(SineParts(r, low));
        var (cosine, cosineRest) = Rounded(CosineParts(r, low));
        if ((quadrant & 1) != 0)
            (sine, sineRest, cosine, cosineRest) = (-cosine, -cosineRest, sine, sineRest);

        // The quotient of the rounded numbers, and what their roundings move it by.
        var quotient = sine / cosine;
        return quotient + ((sineRest - (quotient * cosineRest)) / cosine);
    }

    // x less k quarter turns: r + low, |r| <= pi / 4, and k modulo 4.
    private static (double R, double Low, int Quadrant) Reduce(double x)
    {
        if (!(Math.Abs(x) <= MaxAngle))
            return (double.NaN, double.NaN, 0);

        var k = (x * TwoOverPi) + Rounder - Rounder;
        if (k == 0)
            return (x, 0, 0);

        var first = x - (k * Quarter1);
        var (second, secondRest) = Difference(first, k * Quarter2);
        var (third, thirdRest) = Difference(second, k * Quarter3);
        var low = secondRest + thirdRest - (k * Quarter4);
        var r = third + low;
        return (r, third - r + low, (int)k & 3);
    }

    // a - b and what rounding took from it, whichever is larger.
    private static (double Value, double Remainder) Difference(double a, double b)
    {
        var value = a - b;
        var bPart = a - value;
        return (value, a - (value + bPart) + (bPart - b));
    }

    private static (double Value, double Remainder) Rounded((double High, double Remainder) parts)
    {
        var value = parts.High + parts.Remainder;
        return (value, parts.High - value + parts.Remainder);
    }

    private static (double High, double Remainder) SineParts(double r, double low)
    {
        var z = r * r;
        var tail = 0.008333333333330946 + (z * (-0.0001984126983675497 + (z * (2.755731610068303e-06
            + (z * (-2.5051131455427946e-08 + (z * 1.591810123027412e-10)))))));
        var cubic = z * r;
        return (r, (cubic * (-0.16666666666666666 + (z * tail))) + (low - (0.5 * z * low)));
    }

    private static (double High, double Remainder) CosineParts(double r, double low)
    {
        var z = r * r;
        var tail = 0.041666666666666664 + (z * (-0.0013888888888887395 + (z * (2.4801587298763433e-05
            + (z * (-2.7557317270560326e-07 + (z * (2.0876146024689747e-09 + (z * -1.1382614868556325e-11)))))))));
        var half = 0.5 * z;
        var high = 1 - half;
        return (high, 1 - high - half + ((z * z * tail) - (r * low)));
    }
}
