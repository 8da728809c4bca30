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

        var largest = Largest(lanes);
        foreach (var sample in samples[(fours.Length * Vector256<double>.Count)..])
            largest = Math.Max(Math.Abs(sample), largest);
        return largest;
    }

    /// <summary>The largest of <paramref name="atLeast"/> and the absolute samples of two planes of equal length.</summary>
    public static double Largest(ReadOnlySpan<double> samples, ReadOnlySpan<double> others, double atLeast)
    {
        others = others[..samples.Length];
        var (lanes, otherLanes) = (Vector256.Create(atLeast), Vector256<double>.Zero);
        var fours = MemoryMarshal.Cast<double, Vector256<double>>(samples);
        var otherFours = MemoryMarshal.Cast<double, Vector256<double>>(others);
        for (var index = 0; index < fours.Length; index++)
        {
            lanes = Larger(Vector256.Abs(fours[index]), lanes);
            otherLanes = Larger(Vector256.Abs(otherFours[index]), otherLanes);
        }

        var largest = Largest(Larger(lanes, otherLanes));
        for (var frame = fours.Length * Vector256<double>.Count; frame < samples.Length; frame++)
            largest = Math.Max(Math.Max(Math.Abs(samples[frame]), Math.Abs(others[frame])), largest);
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

    private static double Largest(Vector256<double> lanes)
    {
        var (lower, upper) = (lanes.GetLower(), lanes.GetUpper());
        var two = Vector128.ConditionalSelect(Vector128.GreaterThan(lower, upper), lower, upper);
        return two[0] > two[1] ? two[0] : two[1];
    }

    private static Vector256<double> Larger(Vector256<double> one, Vector256<double> other) =>
        Vector256.ConditionalSelect(Vector256.GreaterThan(one, other), one, other);
}
