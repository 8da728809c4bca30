namespace RenderGraph.Nodes.Measures.Layers;

/// <summary>What to do with a layer.</summary>
public enum LayerVerdict
{
    /// <summary>Leave it.</summary>
    Keep,

    /// <summary>It adds nothing that another does not have, or it takes away: leave it out.</summary>
    Mute,

    /// <summary>Its lows double another's or fight them, but what it has above is its own.</summary>
    HighPass,

    /// <summary>It is upside down against the one it belongs to.</summary>
    TurnOver,

    /// <summary>It is early or late against the one it belongs to.</summary>
    Shift,
}
