using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using RenderGraph.Nodes.Dsp.Lanes;

namespace RenderGraph.Nodes.Dsp;

/// <summary>Sums and products over whole planes. Each sample is worked on by itself, so lanes change no bit.</summary>
public static class Planes
{
    /// <summary>target = amplitude * source. An amplitude of 1 changes no bit.</summary>
    /// <param name="target">As long as the source; may be the source.</param>
    public static void Scale(ReadOnlySpan<double> source, double amplitude, Span<double> target)
    {
        target = target[..source.Length];
        var factor = Vector256.Create(amplitude);
        var from = MemoryMarshal.Cast<double, Vector256<double>>(source);
        var into = MemoryMarshal.Cast<double, Vector256<double>>(target);
        for (var index = 0; index < into.Length; index++)
            into[index] = factor * from[index];
        for (var frame = into.Length * Vector256<double>.Count; frame < target.Length; frame++)
            target[frame] = amplitude * source[frame];
    }

    /// <summary>target = target + amplitude * source.</summary>
    /// <param name="target">As long as the source.</param>
    public static void AddScaled(ReadOnlySpan<double> source, double amplitude, Span<double> target)
    {
        target = target[..source.Length];
        var factor = Vector256.Create(amplitude);
        var from = MemoryMarshal.Cast<double, Vector256<double>>(source);
        var into = MemoryMarshal.Cast<double, Vector256<double>>(target);
        for (var index = 0; index < into.Length; index++)
            into[index] += factor * from[index];
        for (var frame = into.Length * Vector256<double>.Count; frame < target.Length; frame++)
            target[frame] += amplitude * source[frame];
    }

    /// <summary>target = target * factors. A factor of 1 changes no bit.</summary>
    /// <param name="factors">As long as the target.</param>
    public static void Multiply(Span<double> target, ReadOnlySpan<double> factors)
    {
        factors = factors[..target.Length];
        var from = MemoryMarshal.Cast<double, Vector256<double>>(factors);
        var into = MemoryMarshal.Cast<double, Vector256<double>>(target);
        for (var index = 0; index < into.Length; index++)
            into[index] *= from[index];
        for (var frame = into.Length * Vector256<double>.Count; frame < target.Length; frame++)
            target[frame] *= factors[frame];
    }

    /// <summary>The source, but every sample whose magnitude is below <paramref name="rest"/> is 0.</summary>
    /// <param name="target">As long as the source; may be the source.</param>
    public static void Settle(ReadOnlySpan<double> source, double rest, Span<double> target) => LaneLoop.Map(new Settled(rest), source, target);

    private readonly struct Settled(double rest) : ILaneFunction
    {
        public T Apply<T>(T x)
            where T : unmanaged, IFormulaLanes<T> => T.Settle(x, rest);
    }
}
