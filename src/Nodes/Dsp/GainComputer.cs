using System.Runtime.CompilerServices;
using RenderGraph.Nodes.Dsp.Lanes;

namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// The static curve of a compressor with a quadratic knee, as a reduction: D. Giannoulis, M. Massberg and J. D. Reiss, "Digital dynamic range
/// compressor design: a tutorial and analysis", J. Audio Eng. Soc. 60(6), 2012, equation 4. Written without branches: the part of the level
/// inside the knee enters squared, the part above it straight.
/// </summary>
/// <param name="thresholdDb">Middle of the knee.</param>
/// <param name="ratio">Input dB for one output dB above the knee; 1e9 is a limiter.</param>
/// <param name="kneeDb">Width of the knee, 0 for a corner.</param>
/// <param name="rangeDb">Largest reduction.</param>
public sealed class GainComputer(double thresholdDb, double ratio, double kneeDb, double rangeDb = double.PositiveInfinity)
{
    private readonly Curve _curve = new(thresholdDb - (kneeDb / 2), kneeDb, kneeDb == 0 ? 0 : 1 / (2 * kneeDb), 1 - (1 / ratio), rangeDb);

    /// <summary>Up to this level the reduction is exactly 0.</summary>
    public double KneeStartDb => _curve.StartDb;

    /// <summary>By how much a steady level is lowered; 0 or more.</summary>
    public double ReductionDb(double levelDb) => _curve.Apply(Lanes1.All(levelDb)).Value;

    /// <summary>The same bits as one by one, in lanes. The target may be the levels.</summary>
    public void ReductionDb(ReadOnlySpan<double> levelDb, Span<double> target) => LaneLoop.Map(_curve, levelDb, target);

    private readonly record struct Curve(double StartDb, double KneeDb, double Halved, double Slope, double RangeDb) : ILaneFunction
    {
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public T Apply<T>(T x)
            where T : unmanaged, IFormulaLanes<T>
        {
            var over = x - T.All(StartDb);
            over = T.WhereLess(over, T.All(0), T.All(0), over);
            var inKnee = T.WhereLess(over, T.All(KneeDb), over, T.All(KneeDb));
            var reduction = T.All(Slope) * ((inKnee * inKnee * T.All(Halved)) + (over - inKnee));
            return T.WhereLess(reduction, T.All(RangeDb), reduction, T.All(RangeDb));
        }
    }
}
