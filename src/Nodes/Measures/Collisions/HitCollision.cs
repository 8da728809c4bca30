namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>What a part does to the anchor at one of its hits.</summary>
/// <param name="Overlap">0 to 1: see <see cref="StemCollision"/>.</param>
/// <param name="WorstBand">The half-ERB band in which it covers most of the anchor, as an index into <see cref="Bands.ErbScale.HalfErbBands"/>.</param>
/// <param name="PartDb">Its level against the anchor's in the anchor's own band; null if either is silent there.</param>
/// <param name="SummationGainDb">Level of the two together over that of the louder of them, in the anchor's own band: 6.0 for equal and in phase, 3.0 at 90 degrees, 0 at 120, far below at 180; null if either is silent there.</param>
public readonly record struct HitCollision(double Overlap, int WorstBand, double? PartDb, double? SummationGainDb);
