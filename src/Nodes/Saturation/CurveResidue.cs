using System.Runtime.CompilerServices;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Dsp.Lanes;

namespace RenderGraph.Nodes.Saturation;

/// <summary>What a curve adds to its input: curve(u) - u. Each sample by itself.</summary>
internal static class CurveResidue
{
    // Of the curve with even harmonics: where on tanh silence lies.
    private const double Bias = 0.3;

    /// <summary>The residue of every sample.</summary>
    /// <param name="drive">The amplitude that comes before the curve, above 0.</param>
    /// <param name="target">As long as the samples; may be the samples.</param>
    public static void Take(SaturationCurve curve, double drive, ReadOnlySpan<double> samples, Span<double> target)
    {
        switch (curve)
        {
            case SaturationCurve.Tanh:
                LaneLoop.Map(new Tanh(drive, 1 / drive), samples, target);
                break;
            case SaturationCurve.BiasedTanh:
                // By the same formula, so that silence stays silence.
                var centre = TanhShape.Of(Lanes1.All(Bias * TanhShape.PerArgument)).Value;
                LaneLoop.Map(new BiasedTanh(drive, centre, 1 / (drive * (1 - (centre * centre)))), samples, target);
                break;
            case SaturationCurve.Cubic:
                LaneLoop.Map(new Cubic(drive, 1 / drive), samples, target);
                break;
            case SaturationCurve.Clip:
                LaneLoop.Map(new Clip(1 / drive), samples, target);
                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(curve), curve, "There is no such curve.");
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static T Held<T>(T x, double edge)
        where T : unmanaged, IFormulaLanes<T>
    {
        x = T.WhereLess(T.All(edge), x, T.All(edge), x);
        return T.WhereLess(x, T.All(-edge), T.All(-edge), x);
    }

    private readonly struct Tanh(double drive, double perDrive) : ILaneFunction
    {
        private readonly double _drive = drive * TanhShape.PerArgument;

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public T Apply<T>(T x)
            where T : unmanaged, IFormulaLanes<T> =>
            (TanhShape.Of(x * T.All(_drive)) * T.All(perDrive)) - x;
    }

    private readonly struct BiasedTanh(double drive, double centre, double perSlope) : ILaneFunction
    {
        private readonly double _drive = drive * TanhShape.PerArgument;

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public T Apply<T>(T x)
            where T : unmanaged, IFormulaLanes<T> =>
            ((TanhShape.Of((x * T.All(_drive)) + T.All(Bias * TanhShape.PerArgument)) - T.All(centre)) * T.All(perSlope)) - x;
    }

    private readonly struct Cubic(double drive, double edge) : ILaneFunction
    {
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public T Apply<T>(T x)
            where T : unmanaged, IFormulaLanes<T>
        {
            var held = Held(x, edge);
            var u = held * T.All(drive);
            return held - x - (u * u * held * T.All(1.0 / 3));
        }
    }

    private readonly struct Clip(double edge) : ILaneFunction
    {
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public T Apply<T>(T x)
            where T : unmanaged, IFormulaLanes<T> => Held(x, edge) - x;
    }
}
