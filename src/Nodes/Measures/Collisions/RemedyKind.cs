namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>The means against a collision.</summary>
public enum RemedyKind
{
    /// <summary>None is needed.</summary>
    None,

    /// <summary>Turn it over.</summary>
    Polarity,

    /// <summary>Move it by some milliseconds.</summary>
    Shift,

    /// <summary>Cut it at the anchor's frequency while the anchor hits.</summary>
    KeyedCut,

    /// <summary>It has no low note of its own: what it has down there can go for good.</summary>
    HighPass,
}
