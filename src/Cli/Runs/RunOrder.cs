using RenderGraph.Cli.Console;
using RenderGraph.Graph.Rendering;

namespace RenderGraph.Cli.Runs;

/// <summary>What is to be rendered, and where to.</summary>
/// <param name="Graph">The graph.</param>
/// <param name="OutFolder">Where outputs go; null: the graph's folder.</param>
internal sealed record RunOrder(GraphSource Graph, string? OutFolder)
{
    /// <summary>A stem, node or step to be rendered instead of the outputs; null for the outputs.</summary>
    public string? Only { get; init; }

    /// <summary>Threads, blocks, and the part of the song.</summary>
    public RenderOptions Options { get; init; } = new();

    /// <summary>Whether stems may lie outside the graph's folder.</summary>
    public bool AllowOutside { get; init; }

    /// <summary>Full path of the lock; null: none is read or written.</summary>
    public string? LockPath { get; init; }

    /// <summary>Render even if everything still holds.</summary>
    public bool Again { get; init; }

    /// <summary>Listen to the anchor, whatever the lock knows of it.</summary>
    public bool MeasureAnew { get; init; }

    /// <summary>Refuse what is not as the lock has it, and leave the lock alone.</summary>
    public bool MustHold { get; init; }

    /// <summary>Full path of the folder that outputs go into.</summary>
    public string FullOutFolder => OutFolder is null ? Graph.Place.Folder : Path.GetFullPath(OutFolder);

    /// <summary>Whether the outputs are rendered, all of them and whole: only then a lock can tell of them.</summary>
    public bool IsComplete => IsWhole && Only is null;

    /// <summary>Whether it is asked if the treatment helped.</summary>
    public Judging Judging { get; init; } = Judging.Beside;

    /// <summary>Whether all of the song is rendered.</summary>
    public bool IsWhole => Options is { FromSeconds: null, ToSeconds: null };

    /// <summary><c>0m12.5s-0m20s</c>: <c>mix.wav</c> is then <c>mix.0m12.5s-0m20s.wav</c>. Null for the whole song.</summary>
    public string? PartName => IsWhole
        ? null
        : $"{SongTime.WriteForFileName(Options.FromSeconds ?? 0)}-{(Options.ToSeconds is { } end ? SongTime.WriteForFileName(end) : "end")}";
}
