namespace RenderGraph.Graph.Rendering;

/// <summary>How to render, none of which changes a byte, and which part.</summary>
public sealed record RenderOptions
{
    /// <summary>Workers, at least 1.</summary>
    public int ThreadCount { get; init; } = Environment.ProcessorCount;

    /// <summary>Frames worked on at once, 16 to 65,536.</summary>
    public int BlockFrames { get; init; } = 2048;

    /// <summary>Where the part to be written starts in the song, or null: at its beginning.</summary>
    public double? FromSeconds { get; init; }

    /// <summary>Where the part to be written ends, or null: with the output.</summary>
    public double? ToSeconds { get; init; }
}

/// <summary>How far a render has come.</summary>
/// <param name="Stage">What is being done.</param>
/// <param name="DoneFrames">Frames behind us in this stage.</param>
/// <param name="TotalFrames">Frames of this stage.</param>
public readonly record struct RenderProgress(RenderStage Stage, long DoneFrames, long TotalFrames);

/// <summary>What is being done.</summary>
public enum RenderStage
{
    /// <summary>Keys are heard to the end, to find how loud their hits are.</summary>
    Listening,

    /// <summary>Blocks are rendered and written.</summary>
    Rendering,
}
