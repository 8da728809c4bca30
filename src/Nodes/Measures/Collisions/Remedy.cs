namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>What would help against a collision.</summary>
/// <param name="Kind">The means.</param>
/// <param name="ShiftMs">For a shift: later by so much, earlier if below 0; on a step of 0.01 ms.</param>
/// <param name="GainDb">What anchor and part together gain in the anchor's own band at the hits; null if that is not what it is for.</param>
public readonly record struct Remedy(RemedyKind Kind, double ShiftMs = 0, double? GainDb = null);
