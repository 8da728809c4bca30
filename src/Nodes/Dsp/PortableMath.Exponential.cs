using System.Runtime.CompilerServices;
using RenderGraph.Nodes.Dsp.Lanes;

namespace RenderGraph.Nodes.Dsp;

public static partial class PortableMath
{
    private const double Log2OfE = 1.4426950408889634;

    // The logarithm of 2 in two parts; k times the first is exact for every exponent k.
    private const double Ln2High = 0.6931471805592082, Ln2Low = 7.371002565167799e-13;

    /// <summary>2 to the power of x. Exact for whole x; past 1024 infinite, below -1075 zero.</summary>
    public static double Exp2(double x) => default(Exp2Function).Apply(Lanes1.All(x)).Value;

    /// <summary>The same bits as one by one, in lanes. The target may be the source.</summary>
    public static void Exp2(ReadOnlySpan<double> source, Span<double> target) => LaneLoop.Map(default(Exp2Function), source, target);

    /// <summary>e to the power of x. Past 709.8 infinite, below -745.2 zero.</summary>
    public static double Exp(double x) => default(ExpFunction).Apply(Lanes1.All(x)).Value;

    /// <summary>The hyperbolic tangent: 1 to the last bit from 19.1 on; keeps the sign of zero.</summary>
    public static double Tanh(double x) => default(TanhFunction).Apply(Lanes1.All(x)).Value;

    /// <summary>The same bits as one by one, in lanes. The target may be the source.</summary>
    public static void Tanh(ReadOnlySpan<double> source, Span<double> target) => LaneLoop.Map(default(TanhFunction), source, target);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static T Clamp<T>(T x, double limit)
        where T : unmanaged, IFormulaLanes<T>
    {
        x = T.WhereLess(T.All(limit), x, T.All(limit), x);
        return T.WhereLess(x, T.All(-limit), T.All(-limit), x);
    }

    // Two factors, so that a result below the smallest normal number is rounded once only.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static T Scaled<T>(T mantissa, T k)
        where T : unmanaged, IFormulaLanes<T>
    {
        var half = (k * T.All(0.5)) + T.All(Rounder);
        var other = k - (half - T.All(Rounder)) + T.All(Rounder);
        return mantissa * T.PowerOfTwo(half) * T.PowerOfTwo(other);
    }

    // e^r - 1 for |r| <= ln 2 / 2, close to r in relative terms too.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static T ExpRest<T>(T r)
        where T : unmanaged, IFormulaLanes<T>
    {
        var z = r * r;
        var even = T.All(0.16666666666666669) + (z * (T.All(0.008333333333330062) + (z * (T.All(0.00019841269863053618)
            + (z * (T.All(2.7557268459997064e-06) + (z * T.All(2.510038549551032e-08))))))));
        var odd = T.All(0.041666666666666664) + (z * (T.All(0.0013888888888886552) + (z * (T.All(2.4801587317144498e-05)
            + (z * (T.All(2.755728296954995e-07) + (z * T.All(2.0911236630261545e-09))))))));
        return r + (z * (T.All(0.5) + ((r * even) + (z * odd))));
    }

    private readonly struct Exp2Function : ILaneFunction
    {
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public T Apply<T>(T x)
            where T : unmanaged, IFormulaLanes<T>
        {
            // Beyond this the answer no longer changes, and both factors in Scaled stay normal numbers.
            x = Clamp(x, 1100);
            var k = x + T.All(Rounder) - T.All(Rounder);
            var r = x - k;
            var z = r * r;
            var even = T.All(0.6931471805599453) + (z * (T.All(0.0555041086648216) + (z * (T.All(0.0013333558146415105)
                + (z * (T.All(1.5252733832182666e-05) + (z * (T.All(1.0178061237148255e-07) + (z * T.All(4.455175735101196e-10))))))))));
            var odd = T.All(0.24022650695910097) + (z * (T.All(0.009618129107606862) + (z * (T.All(0.0001540353044178072)
                + (z * (T.All(1.321544256070216e-06) + (z * T.All(7.072591391653994e-09))))))));
            return Scaled(T.All(1) + ((r * even) + (z * odd)), k);
        }
    }

    private readonly struct ExpFunction : ILaneFunction
    {
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public T Apply<T>(T x)
            where T : unmanaged, IFormulaLanes<T>
        {
            x = Clamp(x, 800);
            var k = (x * T.All(Log2OfE)) + T.All(Rounder) - T.All(Rounder);
            return Scaled(T.All(1) + ExpRest(x - (k * T.All(Ln2High)) - (k * T.All(Ln2Low))), k);
        }
    }

    // tanh|x| = t / (t + 2) with t = exp(2|x|) - 1, put together so that nothing cancels.
    internal readonly struct TanhFunction : ILaneFunction
    {
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public T Apply<T>(T x)
            where T : unmanaged, IFormulaLanes<T>
        {
            var magnitude = T.Abs(x);
            magnitude = T.WhereLess(T.All(22), magnitude, T.All(22), magnitude);
            var twice = magnitude + magnitude;
            var rounded = (twice * T.All(Log2OfE)) + T.All(Rounder);
            var k = rounded - T.All(Rounder);
            var power = T.PowerOfTwo(rounded);
            var rest = ExpRest(twice - (k * T.All(Ln2High)) - (k * T.All(Ln2Low)));
            var t = (power * rest) + (power - T.All(1));
            return T.CopySign(t / (t + T.All(2)), x);
        }
    }
}
