namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>A hit at which a part covers much of the anchor.</summary>
/// <param name="Frame">The song's frame.</param>
/// <param name="Stem">Whose fault it is: its place among the stems.</param>
/// <param name="Collision">What it does there.</param>
public sealed record WorstPlace(long Frame, int Stem, HitCollision Collision);
