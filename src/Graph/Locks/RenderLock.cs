using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Rendering;

namespace RenderGraph.Graph.Locks;

/// <summary>What was rendered and from what, so that it can be told whether it still holds: the lock beside a graph. No clock, no machine's path, no number of threads.</summary>
public sealed record RenderLock
{
    /// <summary>The format that this version reads and writes.</summary>
    public const int Format = 1;

    /// <summary>The version of the engine running now.</summary>
    public static string ThisEngine { get; } = typeof(RenderLock).Assembly.GetName().Version!.ToString(3);

    /// <summary>The engine that rendered.</summary>
    public required string EngineVersion { get; init; }

    /// <summary>What the graph was read from, byte for byte: as long as it is the same, findings stand where they stood. No reason to render anew.</summary>
    public required string GraphXxh128 { get; init; }

    /// <summary>Whether stems outside the graph's folder were allowed.</summary>
    public bool IsOutsideAllowed { get; init; }

    /// <summary>Frames a second, of everything.</summary>
    public required int SampleRateHz { get; init; }

    /// <summary>The latest path's.</summary>
    public required int LatencyFrames { get; init; }

    /// <summary>Every file that was read, by its path as the graph writes it.</summary>
    public required IReadOnlyDictionary<string, ContentHash> Inputs { get; init; }

    /// <summary>Stems that were converted, and the rate that they had.</summary>
    public IReadOnlyDictionary<string, int> ConvertedFromHz { get; init; } = new Dictionary<string, int>();

    /// <summary>What is known of the anchor; null if nothing was measured or read.</summary>
    public LockedAnchor? Anchor { get; init; }

    /// <summary>All that the bytes hang on, as <see cref="EffectiveGraph"/> gives it.</summary>
    public required IReadOnlyDictionary<string, string> Graph { get; init; }

    /// <summary>What was written, in the order of the plan.</summary>
    public required IReadOnlyList<LockedOutput> Outputs { get; init; }

    /// <summary>What the nodes had to tell, in the order of the plan.</summary>
    public IReadOnlyList<NodeFigures> Figures { get; init; } = [];

    /// <summary>What was measured, in the order of the plan.</summary>
    public IReadOnlyList<LockedMeasures> Measures { get; init; } = [];

    /// <summary>How the gates fared, in the order of the graph.</summary>
    public IReadOnlyList<LockedGate> Gates { get; init; } = [];

    /// <summary>Whether the treatment helped; null if that was not asked.</summary>
    public Verdict? Verdict { get; init; }

    /// <summary>All that was told.</summary>
    public IReadOnlyList<LockedFinding> Findings { get; init; } = [];
}

/// <summary>What is known of the anchor.</summary>
/// <param name="StartFrame">Where its stem's first frame lies in the song.</param>
/// <param name="Hits">By the stem's own frames at the render's rate, in order; null if nobody asked.</param>
/// <param name="Frequency">Null if nobody asked, or if it cannot be heard.</param>
public sealed record LockedAnchor(long StartFrame, IReadOnlyList<Hit>? Hits, DominantFrequency? Frequency);

/// <summary>One file written.</summary>
/// <param name="File">From the folder of the outputs.</param>
/// <param name="Output">Its name in the graph.</param>
public sealed record LockedOutput(string File, string Output, ContentHash Content, int Channels, SampleEncoding Encoding, OutputSummary Summary);

/// <summary>What was measured at one point.</summary>
/// <param name="Point">The point's key.</param>
/// <param name="FirstFrame">The song's frame that measuring began with.</param>
/// <param name="EndFrame">The song's frame after the last.</param>
public sealed record LockedMeasures(string Point, long FirstFrame, long EndFrame, IReadOnlyList<Measurement> Measurements);

/// <summary>How one gate fared.</summary>
/// <param name="Gate">What it is about, in words.</param>
/// <param name="Holds">Whether it held.</param>
/// <param name="Value">What was held against the limits; null if it could not be measured.</param>
/// <param name="Stem">The stem to look at first; null if none was told.</param>
public sealed record LockedGate(string Gate, bool Holds, double? Value, string? Stem);

/// <summary>One thing that was told.</summary>
/// <param name="About">Whose place it is.</param>
/// <param name="File">The output's file, from the folder of the outputs, or another file's path from the graph's folder; empty for the graph.</param>
public sealed record LockedFinding(FindingAbout About, string File, DiagnosticCode Code, Severity Severity, TextPosition At, string Sentence, string Remedy);

/// <summary>What a finding's place is in.</summary>
public enum FindingAbout
{
    /// <summary>The graph's text.</summary>
    Graph,

    /// <summary>An output.</summary>
    Output,

    /// <summary>Another file, in the graph's folder.</summary>
    File,
}
