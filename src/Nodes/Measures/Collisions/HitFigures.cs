using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>What a part does to the anchor over all hits: the figures of <see cref="StemCollision"/> that follow from the spectra alone.</summary>
/// <param name="Heard">The hits, by their places, at which both are heard in the anchor's own band.</param>
/// <param name="AnchorPower">The anchor's power there, over these hits.</param>
/// <param name="PartPower">The part's.</param>
/// <param name="InCommon">Half of what both together have more than their powers added.</param>
internal sealed record HitFigures(
    double Overlap, IReadOnlyList<int> Heard, double AnchorPower, double PartPower, double InCommon, double? PartDb, double? SummationGainDb, double? PhaseConsistency, double? PhaseDegrees,
    double? SumAgainstPowersDb)
{
    // Fewer hits say nothing about how steady a phase is.
    public const int LeastHits = 4;

    // Less than this under the anchor, a part's phase means nothing.
    private const double HeardShare = 1e-4;

    /// <summary>Of a part that was gathered.</summary>
    /// <param name="stem">Its place among the stems.</param>
    public static HitFigures Of(HitGathering gathering, int stem)
    {
        var part = gathering.Parts[stem];
        var hits = part.Hits;
        var heard = Enumerable.Range(0, hits.Length).Where(hit => part.OwnPowers[hit] > HeardShare * gathering.AnchorOwnPowers[hit] && gathering.AnchorOwnPowers[hit] > 0).ToList();
        double anchorPower = heard.Sum(hit => gathering.AnchorOwnPowers[hit]), partPower = heard.Sum(hit => part.OwnPowers[hit]);
        double real = heard.Sum(hit => part.OwnReal[hit]), imaginary = heard.Sum(hit => part.OwnImaginary[hit]);
        var lengths = heard.Sum(hit => Math.Sqrt((part.OwnReal[hit] * part.OwnReal[hit]) + (part.OwnImaginary[hit] * part.OwnImaginary[hit])));
        double? consistency = heard.Count >= LeastHits && lengths > 0 ? Math.Sqrt((real * real) + (imaginary * imaginary)) / lengths : null;
        return new(
            gathering.AnchorPower > 0 ? part.Covered.Sum() / gathering.AnchorPower : 0, heard, anchorPower, partPower, real,
            heard.Count > 0 ? Decibels.FromPower(partPower / anchorPower) : null, Median(heard.Select(hit => hits[hit].SummationGainDb).OfType<double>()),
            consistency, consistency is null ? null : Angle.Degrees(real, imaginary),
            heard.Count > 0 ? Decibels.FromPower(Math.Max(0, anchorPower + partPower + (2 * real)) / (anchorPower + partPower)) : null);
    }

    /// <summary>The middle one, or the mean of the two; null of none.</summary>
    public static double? Median(IEnumerable<double> values)
    {
        var ordered = values.Order().ToList();
        return ordered.Count == 0 ? null : (ordered[(ordered.Count - 1) / 2] + ordered[ordered.Count / 2]) / 2;
    }
}
