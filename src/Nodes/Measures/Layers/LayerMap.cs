using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Bands;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Nodes.Measures.Parts;

namespace RenderGraph.Nodes.Measures.Layers;

/// <summary>
/// Which stems are layers of the same thing, and which of them are needed. Two stems are layers if their low ends, lined up, correlate at 0.8 or more either way, or if both are kicks and four in five of the hits of
/// each fall within 30 ms of one of the other's. The thresholds are our own; no source.
/// </summary>
public static class LayerMap
{
    private const double AlikeCorrelation = 0.8, DuplicateCorrelation = 0.98, TogetherShare = 0.8, TogetherSeconds = 0.03;
    private const double LeastAddsDb = 0.5, LeastGainDb = 1, LeastShiftMs = 0.2, SameBalanceDb = 1.5;

    /// <summary>So many layers of one group are kept.</summary>
    private const int MostKept = 2;

    /// <summary>Measures.</summary>
    /// <param name="guesses">What each stem is.</param>
    /// <param name="hitsOf">The hits of a kick, by its place among the stems; asked for once each.</param>
    public static IReadOnlyList<LayerGroup> Measure(LowEndMap map, IReadOnlyList<PartGuess> guesses, Func<int, IReadOnlyList<Hit>> hitsOf)
    {
        ArgumentNullException.ThrowIfNull(map);
        ArgumentNullException.ThrowIfNull(guesses);
        ArgumentNullException.ThrowIfNull(hitsOf);
        var search = new LikenessSearch(map.Matrix);
        var loudest = map.Stems.Max(stem => stem.LowEnd.LevelDbfs);
        var present = Enumerable.Range(0, map.Stems.Count)
            .Where(stem => !map.Stems[stem].IsMuted && map.Stems[stem].LowEnd.LevelDbfs >= loudest - PartGuess.PresentDb)
            .OrderByDescending(stem => map.Stems[stem].LowEnd.LevelDbfs).ThenBy(stem => stem).ToList();
        var kicks = present.Where(stem => guesses[stem].Kind == PartKind.Kick).ToList();
        var hits = kicks.Count < 2 ? [] : kicks.ToDictionary(stem => stem, hitsOf);

        var groups = new List<List<int>>();
        foreach (var stem in present)
        {
            var group = groups.Find(group => group.Exists(other => AreLayers(other, stem)));
            if (group is null)
                groups.Add([stem]);
            else
                group.Add(stem);
        }

        return [.. groups.Where(group => group.Count > 1).Select(group => Judge(map, search, group))];

        bool AreLayers(int one, int other) =>
            Math.Abs(search.Of(one, other).Correlation) >= AlikeCorrelation
            || (hits.TryGetValue(one, out var ones) && hits.TryGetValue(other, out var others)
                && Together(ones, others, map.SampleRateHz) >= TogetherShare && Together(others, ones, map.SampleRateHz) >= TogetherShare);
    }

    private static double Together(IReadOnlyList<Hit> ones, IReadOnlyList<Hit> others, int sampleRateHz)
    {
        if (ones.Count == 0)
            return 0;
        var (count, other, near) = (0, 0, TogetherSeconds * sampleRateHz);
        foreach (var one in ones)
        {
            while (other < others.Count && others[other].Frame < one.Frame - near)
                other++;
            count += other < others.Count && others[other].Frame <= one.Frame + near ? 1 : 0;
        }

        return (double)count / ones.Count;
    }

    private static LayerGroup Judge(LowEndMap map, LikenessSearch search, List<int> group)
    {
        var (matrix, shares) = (map.Matrix, search.Shares);
        var amplitudes = new double[map.Stems.Count];
        foreach (var stem in group)
            amplitudes[stem] = 1;

        var first = group[0];
        var all = matrix.PowerOfSum(amplitudes, shares);
        var layers = new List<Layer> { new(first, null, Adds(first), LayerVerdict.Keep, LayerReason.Strongest) };

        // Those with most above the low end come first: they are the likeliest to have something of their own.
        foreach (var stem in group.Skip(1).OrderByDescending(stem => TopPower(map, stem)).ThenBy(stem => stem))
        {
            var likeness = search.Of(first, stem);
            layers.Add(JudgeOne(stem, likeness));
        }

        return new([layers[0], .. layers.Skip(1).OrderByDescending(layer => map.Stems[layer.Stem].LowEnd.LevelDbfs).ThenBy(layer => layer.Stem)]);

        double Adds(int stem)
        {
            amplitudes[stem] = 0;
            var without = matrix.PowerOfSum(amplitudes, shares);
            amplitudes[stem] = 1;
            return Decibels.FromPower(all) - Decibels.FromPower(without) is var adds && double.IsFinite(adds) ? adds : 0;
        }

        Layer JudgeOne(int stem, Likeness likeness)
        {
            var isAlike = Math.Abs(likeness.Correlation) >= AlikeCorrelation;
            var isSame = likeness.Correlation >= DuplicateCorrelation && Math.Abs(Balance(map, first) - Balance(map, stem)) <= SameBalanceDb;
            var hasTop = TopPower(map, stem) >= 0.5 * TopPower(map, first);
            var kept = layers.Count(layer => layer.Verdict != LayerVerdict.Mute);
            if (kept >= MostKept)
                return new(stem, likeness, Adds(stem), LayerVerdict.Mute, isSame ? LayerReason.Duplicate : LayerReason.Surplus);

            if (isSame && Math.Abs(likeness.DelayMs) < LeastShiftMs)
                return new(stem, likeness, Adds(stem), LayerVerdict.Mute, LayerReason.Duplicate);

            // As good as it gets, and what turning over does by itself: the smaller step is taken if it comes near.
            var (linedUpDb, flippedDb) = (GainDb(Math.Abs(likeness.Correlation)), GainDb(-likeness.CorrelationNow));
            if (isAlike && linedUpDb >= LeastGainDb)
            {
                var isFlipEnough = flippedDb >= linedUpDb - LeastGainDb && flippedDb >= LeastGainDb;
                var shiftMs = isFlipEnough || Math.Abs(likeness.DelayMs) < LeastShiftMs ? 0 : -likeness.DelayMs;
                return isFlipEnough || likeness.Correlation < 0
                    ? new(stem, likeness, Adds(stem), LayerVerdict.TurnOver, LayerReason.UpsideDown, shiftMs, isFlipEnough ? flippedDb : linedUpDb)
                    : new(stem, likeness, Adds(stem), LayerVerdict.Shift, LayerReason.OutOfTime, shiftMs, linedUpDb);
            }

            var adds = Adds(stem);
            if (adds >= LeastAddsDb && !isSame)
                return new(stem, likeness, adds, LayerVerdict.Keep, LayerReason.AddsItsOwn);
            var reason = isSame ? LayerReason.Duplicate : adds < 0 ? LayerReason.TakesAway : LayerReason.AddsNothing;
            return new(stem, likeness, adds, hasTop && !isSame ? LayerVerdict.HighPass : LayerVerdict.Mute, reason);

            // Of both together, if their correlation were another.
            double GainDb(double correlation)
            {
                double one = matrix.Power(first, shares), other = matrix.Power(stem, shares), twice = 2 * Math.Sqrt(one * other);
                return Decibels.FromPower(one + other + (twice * correlation)) - Decibels.FromPower(Math.Max(1e-9 * one, one + other + (twice * likeness.CorrelationNow)));
            }
        }
    }

    // What lies above the low end.
    private static double TopPower(LowEndMap map, int stem) => Math.Max(0, map.Stems[stem].Facts.MeanPower - LowPower(map, stem));

    private static double LowPower(LowEndMap map, int stem) => map.Stems[stem].LowEnd.LevelDbfs is { } level ? Decibels.ToAmplitude(2 * level) : 0;

    private static double Balance(LowEndMap map, int stem) => Decibels.FromPower(Math.Max(TopPower(map, stem), 1e-4 * LowPower(map, stem))) - Decibels.FromPower(LowPower(map, stem));
}
