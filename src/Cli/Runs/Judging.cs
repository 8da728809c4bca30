namespace RenderGraph.Cli.Runs;

/// <summary>Whether it is asked if a graph's treatment helped.</summary>
internal enum Judging
{
    /// <summary>No.</summary>
    None,

    /// <summary>Beside the render, in the same pass; of a long song, stretches are heard.</summary>
    Beside,

    /// <summary>All of the song is heard for it, and nothing else is done.</summary>
    Alone,
}
