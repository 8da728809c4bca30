namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>
/// What a part does to the anchor at its hits. The spectra are those of 170 ms from each onset on, under a raised cosine.
/// <para>Overlap is our own measure: with A(b) and S(b) the powers of anchor and part in the fourteen half-ERB bands, it is sum of min(A, S) over sum of A, over all bands and all hits: the
/// share of the anchor's own energy that the part covers with as much of its own. 0 is nobody there, 1 is everywhere at least as loud.</para>
/// </summary>
/// <param name="Stem">Its place among the stems.</param>
/// <param name="Overlap">Over all hits.</param>
/// <param name="BandOverlaps">The same in each band, each over the anchor's energy there.</param>
/// <param name="Hits">The same at each hit.</param>
/// <param name="PartDb">Its level against the anchor's in the anchor's own band, over all hits; null if silent there.</param>
/// <param name="SummationGainDb">The median over the hits at which both are heard; null if there are none.</param>
/// <param name="PhaseConsistency">0 to 1: length of the mean phase vector over hits, each weighted by its power (mean resultant length of circular statistics); null below four hits at which both are heard.</param>
/// <param name="PhaseDegrees">Where that vector points: how far the part lies ahead of the anchor, -180 to 180; null like the consistency.</param>
/// <param name="SumAgainstPowersDb">The power of both together over the sum of their powers, over all hits: above 0 they reinforce, below 0 they cancel; null if silent.</param>
/// <param name="PeakCostDb">By how much the peak of all stems together, at a hit, is higher with it than without it: the median over hits.</param>
/// <param name="Kind">What that amounts to.</param>
/// <param name="Remedy">What would help, if anything is needed.</param>
public sealed record StemCollision(
    int Stem, double Overlap, IReadOnlyList<double> BandOverlaps, IReadOnlyList<HitCollision> Hits, double? PartDb, double? SummationGainDb,
    double? PhaseConsistency, double? PhaseDegrees, double? SumAgainstPowersDb, double? PeakCostDb, CollisionKind Kind, Remedy Remedy);
