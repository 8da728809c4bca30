namespace RenderGraph.Nodes.Measures.Parts;

/// <summary>What a stem is, as far as the low end asks.</summary>
public enum PartKind
{
    /// <summary>Nothing to hear.</summary>
    Silent,

    /// <summary>Strokes with one low note: a kick.</summary>
    Kick,

    /// <summary>Low notes that are held or change: a bass.</summary>
    Bass,

    /// <summary>Anything else: higher drums, harmony, voices.</summary>
    Other,
}
