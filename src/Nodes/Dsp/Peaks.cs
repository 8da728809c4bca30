using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp;

/// <summary>Largest absolute samples.</summary>
public static class Peaks
{
    /// <summary>The largest of <paramref name="atLeast"/> and the absolute samples, all finite. Comparison only, so any order gives the same bits.</summary>
    public static double Largest(ReadOnlySpan<double> samples, double atLeast = 0)
    {
        var largest = atLeast;
        var rest = samples;
        if (samples.Length >= Vector256<double>.Count)
        {
            var lanes = Vector256<double>.Zero;
            foreach (var four in MemoryMarshal.Cast<double, Vector256<double>>(samples))
            {
                var absolute = Vector256.Abs(four);
                lanes = Vector256.ConditionalSelect(Vector256.GreaterThan(absolute, lanes), absolute, lanes);
            }

            rest = samples[^(samples.Length % Vector256<double>.Count)..];
            for (var lane = 0; lane < Vector256<double>.Count; lane++)
                largest = lanes[lane] > largest ? lanes[lane] : largest;
        }

        foreach (var sample in rest)
            largest = Math.Abs(sample) > largest ? Math.Abs(sample) : largest;
        return largest;
    }
}
