using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Bands;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Nodes.Measures.Spectra;

namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>Who collides with the anchor, where, when and how. For muted stems it tells what they would do.</summary>
/// <param name="Anchor">Whose hits they are.</param>
/// <param name="OwnBand">One ERB around the anchor's frequency.</param>
/// <param name="Stems">Every other stem.</param>
/// <param name="ClearanceDb">
/// By how much the anchor stands above the sum of everything else in its own band, at the hits: the median. Null without hits, or if nothing else is there.
/// </param>
/// <param name="HitClearanceDb">The same at each hit; null where nothing else is there.</param>
/// <param name="MixPeakDbfs">Peak of the sum of all stems at the hits; null without hits.</param>
/// <param name="SumOwnDbfs">Mean level of that sum in the anchor's own band, over all hits; null if silent.</param>
/// <param name="SumLowEndDbfs">The same from 20 to 300 Hz.</param>
public sealed record CollisionMap(
    AnchorHits Anchor, Band OwnBand, IReadOnlyList<StemCollision> Stems, double? ClearanceDb, IReadOnlyList<double?> HitClearanceDb, double? MixPeakDbfs,
    double? SumOwnDbfs, double? SumLowEndDbfs)
{
    /// <summary>How long after an onset the anchor is compared with the others.</summary>
    public const double WindowSeconds = 0.17;

    /// <summary>Below this overlap nobody is in the way.</summary>
    public const double ClearOverlap = 0.1;

    private const double ConsistentPhase = 0.7, CancellingDb = -1, MostShiftMs = 10, LeastGainDb = 1;

    // Seldom, but then a lot: a quarter of the anchor covered at one hit in eight.
    private const double MaskingOverlap = 0.25, MaskedHitShare = 0.125;

    /// <summary>Measures.</summary>
    /// <exception cref="StemException">A stem changed or failed while it was read.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static CollisionMap Measure(LowEndMap map, AnchorHits anchor, int threads, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(map);
        ArgumentNullException.ThrowIfNull(anchor);
        var frame = new SpectralFrame(WindowSeconds, map.LowBand.SampleRateHz);
        var own = ErbScale.Around(anchor.FrequencyHz);
        var gathering = new HitGathering(
            [.. Enumerable.Range(0, map.Stems.Count).Select(anchor.Contains)], [.. map.Stems.Select(stem => !stem.IsMuted)], anchor.Hits.Count, frame, own);
        SpectralPass.Run(
            map.Spool, map.Channels, frame, anchor.Hits.Count, hit => map.LowBand.Nearest(anchor.Hits[hit].Frame), threads, batch => gathering.Add(batch, threads), cancellation);
        var peaks = HitPeaks.Measure(map.Sources, map.SampleRateHz, anchor.Hits, threads, cancellation);

        var stems = Enumerable.Range(0, map.Stems.Count).Where(stem => !anchor.Contains(stem))
            .Select(stem => Of(map, gathering, stem, peaks.CostDb(stem))).ToList();
        return new(anchor, own, stems, HitFigures.Median(gathering.ClearanceDb.OfType<double>()), gathering.ClearanceDb, peaks.MixPeakDbfs,
            LevelDbfs(gathering.SumOwnPower), LevelDbfs(gathering.SumLowEndPower));

        double? LevelDbfs(double sum) => sum > 0 ? Decibels.FromPower(sum / anchor.Hits.Count) : null;
    }

    /// <summary>The worst places: hits at which a part covers most of the anchor, worst first, none of them below <see cref="ClearOverlap"/>.</summary>
    /// <param name="count">How many at most.</param>
    public IReadOnlyList<WorstPlace> Worst(int count) =>
    [
        .. Stems.SelectMany(stem => stem.Hits.Select((hit, index) => new WorstPlace(Anchor.Hits[index].Frame, stem.Stem, hit)))
            .Where(place => place.Collision.Overlap >= ClearOverlap)
            .OrderByDescending(place => place.Collision.Overlap).ThenByDescending(place => place.Collision.PartDb ?? Decibels.Floor).ThenBy(place => place.Frame)
            .Take(count),
    ];

    private static StemCollision Of(LowEndMap map, HitGathering gathering, int stem, double? peakCostDb)
    {
        var part = gathering.Parts[stem];
        var (hits, figures) = (part.Hits, HitFigures.Of(gathering, stem));
        var kind = figures.SumAgainstPowersDb <= CancellingDb && figures.PhaseConsistency >= ConsistentPhase && figures.PartPower > 0.01 * figures.AnchorPower ? CollisionKind.Cancelling
            : figures.Overlap >= ClearOverlap || hits.Count(hit => hit.Overlap >= MaskingOverlap) >= MaskedHitShare * hits.Length && hits.Length > 0 ? CollisionKind.Masking : CollisionKind.Clear;
        return new(
            stem, figures.Overlap, [.. part.Covered.Select((covered, band) => gathering.AnchorBandPowers[band] > 0 ? covered / gathering.AnchorBandPowers[band] : 0)], hits,
            figures.PartDb, figures.SummationGainDb, figures.PhaseConsistency, figures.PhaseDegrees, figures.SumAgainstPowersDb, peakCostDb, kind,
            RemedyFor(map, gathering, stem, kind, figures.AnchorPower + figures.PartPower, figures.InCommon));
    }

    private static Remedy RemedyFor(LowEndMap map, HitGathering gathering, int stem, CollisionKind kind, double powers, double inCommon)
    {
        if (kind == CollisionKind.Clear)
            return new(RemedyKind.None);
        if (kind == CollisionKind.Masking)
            return new(HasLowNotes(map.Stems[stem].LowEnd) ? RemedyKind.KeyedCut : RemedyKind.HighPass);

        var now = Math.Max(powers * 1e-9, powers + (2 * inCommon));
        var flippedDb = Db((powers - (2 * inCommon)) / now);
        var (shiftMs, shifted) = (0.0, inCommon);
        for (var step = (int)(-MostShiftMs * 20); step <= MostShiftMs * 20; step++)
        {
            // The part taken later by this much: its cross-spectrum turns back.
            var value = gathering.CrossPowerAt(stem, step / 20.0 / 1000);
            if (value > shifted + (1e-12 * powers) || (value > shifted - (1e-12 * powers) && Math.Abs(step / 20.0) < Math.Abs(shiftMs)))
                (shiftMs, shifted) = (step / 20.0, value);
        }

        var shiftedDb = Db((powers + (2 * shifted)) / now);

        // Turning over is the smaller step: a shift must be worth more.
        if (flippedDb >= LeastGainDb && flippedDb >= shiftedDb - 1)
            return new(RemedyKind.Polarity, 0, flippedDb);
        return shiftedDb >= LeastGainDb ? new(RemedyKind.Shift, shiftMs, shiftedDb) : new(RemedyKind.KeyedCut);
    }

    // A part whose lowest note lies above 120 Hz, or that has none, has no business below.
    private static bool HasLowNotes(StemLowEnd lowEnd) => lowEnd.Lowest is { FrequencyHz: < 120 } || lowEnd.Notes.Count == 0 && lowEnd.Share > 0.05;

    private static double Db(double powerRatio) => Decibels.FromPower(powerRatio);
}
