using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.LowEnd;

namespace RenderGraph.Nodes.Measures.Checks;

/// <summary>
/// Finds the stems whose low end already steps back while the anchor hits. At each hit that a stem sounds before, its low band from 20 to 80 ms after the onset is compared with that from 70 to 10 ms before it;
/// at three hits in four, eight at least, it must have fallen by 3 dB. The rule is our own; no source. Being ducked and being played around the hits look alike.
/// </summary>
public static class DuckedCheck
{
    private const double BeforeFromMs = -70, BeforeToMs = -10, AfterFromMs = 20, AfterToMs = 80, FallDb = -3, HitShare = 0.75, SoundingPower = 1e-5;
    private const int LeastHits = 8;

    /// <summary>Checks every stem but the anchor.</summary>
    public static IReadOnlyList<Check> Of(LowEndMap map, AnchorHits anchor, int threads, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(map);
        ArgumentNullException.ThrowIfNull(anchor);
        var falls = new double?[map.Stems.Count];
        Parallelly.For(map.Stems.Count, threads, stem =>
        {
            if (!anchor.Contains(stem) && !map.Stems[stem].Facts.IsSilent)
                falls[stem] = FallAt(map, anchor, stem);
        }, cancellation);
        return [.. Enumerable.Range(0, falls.Length).Where(stem => falls[stem] is not null).Select(stem => new Check(CheckKind.AlreadyDucked, stem, falls[stem]!.Value))];
    }

    private static double? FallAt(LowEndMap map, AnchorHits anchor, int stem)
    {
        var firstPlane = map.Channels.Take(stem).Sum();
        var planes = map.Channels[stem];
        int Frames(double ms) => (int)Math.Round(ms / 1000 * map.LowBand.SampleRateHz);
        var samples = new double[Frames(AfterToMs) - Frames(BeforeFromMs)];
        var falls = new List<double>();
        foreach (var hit in anchor.Hits)
        {
            double before = 0, after = 0;
            for (var plane = firstPlane; plane < firstPlane + planes; plane++)
            {
                map.Spool.Read(plane, map.LowBand.Nearest(hit.Frame) + Frames(BeforeFromMs), samples);
                before += Power(samples.AsSpan(0, Frames(BeforeToMs) - Frames(BeforeFromMs)));
                after += Power(samples.AsSpan(Frames(AfterFromMs) - Frames(BeforeFromMs)));
            }

            if (before / planes >= SoundingPower)
                falls.Add(Decibels.FromPower(Math.Max(after, 1e-12) / before));
        }

        falls.Sort();
        return falls.Count >= LeastHits && falls[(int)(HitShare * (falls.Count - 1))] <= FallDb ? falls[falls.Count / 2] : null;
    }

    private static double Power(ReadOnlySpan<double> samples)
    {
        var sum = 0.0;
        foreach (var sample in samples)
            sum += sample * sample;
        return sum / samples.Length;
    }
}
