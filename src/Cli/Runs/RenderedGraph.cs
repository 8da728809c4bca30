using RenderGraph.Cli.Commands;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Cli.Runs;

/// <summary>What a report needs to know of a graph besides the result: of one that was just rendered, or, from its lock, of one that need not be.</summary>
/// <param name="Document">With the anchor's measures.</param>
/// <param name="Targets">Full path of each file, by the name that the result has for it.</param>
/// <param name="LatencyFrames">The latest path's.</param>
/// <param name="ConvertedFromHz">The rate that converted stems have themselves.</param>
/// <param name="Diagnostics">All that was found.</param>
/// <param name="LoudestStem">The stem to look at first where a gate's measure was found (a frame of the song); null if none sounds there.</param>
internal sealed record RenderedGraph(
    GraphDocument Document, IReadOnlyDictionary<string, string> Targets, int LatencyFrames, IReadOnlyDictionary<string, int> ConvertedFromHz, DiagnosticList Diagnostics,
    Func<Expectation, long, string?> LoudestStem)
{
    /// <summary>Of one that is open.</summary>
    public static RenderedGraph Of(OpenGraph open) => new(
        open.Loaded.Document, open.Loaded.Targets, open.LatencyFrames,
        open.Loaded.Stems.Formats.Where(stem => stem.Value.ConvertedFromHz is not null).ToDictionary(stem => stem.Key, stem => stem.Value.ConvertedFromHz!.Value, StringComparer.Ordinal),
        open.Diagnostics, (gate, songFrame) => Commands.LoudestStem.At(open.Loaded, gate, songFrame));

    /// <summary>The song's name, or the graph's file.</summary>
    public string Title => Document.Title ?? Path.GetFileName(Document.File);
}
