using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Validation;

namespace RenderGraph.Cli.Runs;

/// <summary>Where the graph of a run comes from: its own file, or a recipe that was bound to a song.</summary>
/// <param name="Place">The folder that its paths count from, and what it was read from.</param>
/// <param name="Read">Reads the document; null, after noting why, if it cannot.</param>
internal sealed record GraphSource(GraphPlace Place, Func<NodeCatalog, DiagnosticList, GraphDocument?> Read)
{
    /// <summary>A graph's own file, as the user typed it.</summary>
    public static GraphSource OfFile(string path) =>
        // An empty path is told about when it is read.
        new(string.IsNullOrWhiteSpace(path) || path.Contains('\0', StringComparison.Ordinal) ? new("", "", []) : GraphPlace.OfFile(path), (catalog, diagnostics) => LoadedGraph.ReadDocument(path, catalog, diagnostics));

    /// <summary>Where a graph's lock lies unless another place is named: <c>song.lock.json</c> beside <c>song.json</c>.</summary>
    public static string? LockPathOf(string graphPath) =>
        string.IsNullOrWhiteSpace(graphPath) || graphPath.Contains('\0', StringComparison.Ordinal) ? null : Path.GetFullPath(Path.ChangeExtension(graphPath, ".lock.json"));

    /// <summary>A document that is there already.</summary>
    public static GraphSource Of(GraphDocument document, GraphPlace place) => new(place, (_, _) => document);
}
