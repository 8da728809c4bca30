namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>Two faults with two remedies, or none.</summary>
public enum CollisionKind
{
    /// <summary>It covers less than a tenth of the anchor's energy over all hits, and a quarter of it at fewer than one hit in eight.</summary>
    Clear,

    /// <summary>It covers the anchor, at a phase that changes from hit to hit or does no harm.</summary>
    Masking,

    /// <summary>It takes from the anchor at nearly every hit: a phase that stays.</summary>
    Cancelling,
}
