namespace RenderGraph.Nodes.Measures.Layers;

/// <summary>Why a layer is judged as it is.</summary>
public enum LayerReason
{
    /// <summary>It has the strongest low end of the group.</summary>
    Strongest,

    /// <summary>It adds something of its own.</summary>
    AddsItsOwn,

    /// <summary>It is the same sound once more, only louder or softer.</summary>
    Duplicate,

    /// <summary>Two of the group are kept already, and it has less of its own than they.</summary>
    Surplus,

    /// <summary>The low end is louder without it.</summary>
    TakesAway,

    /// <summary>Its low end adds next to nothing.</summary>
    AddsNothing,

    /// <summary>It is upside down.</summary>
    UpsideDown,

    /// <summary>It comes at another time.</summary>
    OutOfTime,
}
