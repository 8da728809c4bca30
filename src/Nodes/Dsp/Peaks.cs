using System.Numerics;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp;

/// <summary>Comparisons over whole planes of finite samples. Nothing is rounded, so any order gives the same bits.</summary>
public static class Peaks
{
    /// <summary>The largest of <paramref name="atLeast"/> and the absolute samples.</summary>
    public static double Largest(ReadOnlySpan<double> samples, double atLeast = 0)
    {
        var lanes = Vector256.Create(atLeast);
        var fours = MemoryMarshal.Cast<double, Vector256<double>>(samples);
        foreach (var four in fours)
            lanes = Larger(Vector256.Abs(four), lanes);

        var largest = Math.Max(Math.Max(lanes[0], lanes[1]), Math.Max(lanes[2], lanes[3]));
        foreach (var sample in samples[(fours.Length * Vector256<double>.Count)..])
            largest = Math.Max(Math.Abs(sample), largest);
        return largest;
    }

    /// <summary>Raises each level to the absolute sample at its place, if that is larger.</summary>
    /// <param name="levels">As long as the samples.</param>
    public static void Raise(Span<double> levels, ReadOnlySpan<double> samples)
    {
        levels = levels[..samples.Length];
        var fours = MemoryMarshal.Cast<double, Vector256<double>>(samples);
        var raised = MemoryMarshal.Cast<double, Vector256<double>>(levels);
        for (var index = 0; index < fours.Length; index++)
            raised[index] = Larger(Vector256.Abs(fours[index]), raised[index]);
        for (var index = fours.Length * Vector256<double>.Count; index < samples.Length; index++)
            levels[index] = Math.Max(Math.Abs(samples[index]), levels[index]);
    }

    /// <summary>How many samples are larger than <paramref name="limit"/>.</summary>
    public static int CountAbove(ReadOnlySpan<double> samples, double limit)
    {
        var (count, lanes) = (0, Vector256.Create(limit));
        var fours = MemoryMarshal.Cast<double, Vector256<double>>(samples);
        foreach (var four in fours)
            count += BitOperations.PopCount(Vector256.GreaterThan(four, lanes).ExtractMostSignificantBits());
        foreach (var sample in samples[(fours.Length * Vector256<double>.Count)..])
            count += sample > limit ? 1 : 0;
        return count;
    }

    /// <summary>The place of the first sample of that magnitude; there must be one.</summary>
    public static int FirstOf(ReadOnlySpan<double> samples, double magnitude)
    {
        var index = 0;
        while (Math.Abs(samples[index]) != magnitude)
            index++;
        return index;
    }

    private static Vector256<double> Larger(Vector256<double> one, Vector256<double> other) =>
        Vector256.ConditionalSelect(Vector256.GreaterThan(one, other), one, other);
}
