using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp;

/// <summary>Sums of squares over whole planes, always added up in the same order, whatever vectors the machine has.</summary>
public static class Energy
{
    /// <summary>The sum of the squared samples. Eight running sums, one for each place modulo 8, then those from first to last, then the rest.</summary>
    public static double Of(ReadOnlySpan<double> samples)
    {
        var (first, second) = (Vector256<double>.Zero, Vector256<double>.Zero);
        var fours = MemoryMarshal.Cast<double, Vector256<double>>(samples);
        var index = 0;
        for (; index + 1 < fours.Length; index += 2)
        {
            first += fours[index] * fours[index];
            second += fours[index + 1] * fours[index + 1];
        }

        var sum = 0.0;
        for (var lane = 0; lane < Vector256<double>.Count; lane++)
            sum += first[lane];
        for (var lane = 0; lane < Vector256<double>.Count; lane++)
            sum += second[lane];
        foreach (var sample in samples[(index * Vector256<double>.Count)..])
            sum += sample * sample;
        return sum;
    }

    /// <summary>The sum of energies: four running sums, one for each place modulo 4, then those from first to last, then the rest.</summary>
    public static double Sum(ReadOnlySpan<double> energies)
    {
        var lanes = Vector256<double>.Zero;
        var fours = MemoryMarshal.Cast<double, Vector256<double>>(energies);
        foreach (var four in fours)
            lanes += four;

        var sum = 0.0;
        for (var lane = 0; lane < Vector256<double>.Count; lane++)
            sum += lanes[lane];
        foreach (var energy in energies[(fours.Length * Vector256<double>.Count)..])
            sum += energy;
        return sum;
    }
}
