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

    /// <summary>target = source * factors. A factor of 1 changes no bit.</summary>
    /// <param name="factors">As long as the source.</param>
    /// <param name="target">As long as the source; may be the source.</param>
    public static void Multiply(ReadOnlySpan<double> source, ReadOnlySpan<double> factors, Span<double> target)
    {
        factors = factors[..source.Length];
        target = target[..source.Length];
        var from = MemoryMarshal.Cast<double, Vector256<double>>(source);
        var by = MemoryMarshal.Cast<double, Vector256<double>>(factors);
        var into = MemoryMarshal.Cast<double, Vector256<double>>(target);
        for (var index = 0; index < into.Length; index++)
            into[index] = from[index] * by[index];
        for (var frame = into.Length * Vector256<double>.Count; frame < target.Length; frame++)
            target[frame] = source[frame] * factors[frame];
    }

    /// <summary>target[n] = start + slope * (first + n).</summary>
    public static void Line(double start, double slope, int first, Span<double> target)
    {
        var (from, rise) = (Vector256.Create(start), Vector256.Create(slope));
        var places = Vector256.Create(0.0, 1, 2, 3) + Vector256.Create((double)first);
        var into = MemoryMarshal.Cast<double, Vector256<double>>(target);
        foreach (ref var four in into)
        {
            four = from + (rise * places);
            places += Vector256.Create(4.0);
        }

        for (var frame = into.Length * Vector256<double>.Count; frame < target.Length; frame++)
            target[frame] = start + (slope * (first + frame));
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
