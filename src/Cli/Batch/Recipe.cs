using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Validation;

namespace RenderGraph.Cli.Batch;

/// <summary>What is done to every song of a batch.</summary>
/// <param name="Path">As it was typed.</param>
/// <param name="ContentXxh128">Hash of its bytes.</param>
/// <param name="For">The graph that it makes of a song's folder.</param>
internal sealed record Recipe(string Path, string ContentXxh128, Func<string, GraphSource> For)
{
    /// <summary>Its file's name.</summary>
    public string FileName => System.IO.Path.GetFileName(Path);

    /// <summary>Reads it once for all songs; null, after its faults are noted.</summary>
    public static Recipe? Read(string path, NodeCatalog catalog, DiagnosticList diagnostics)
    {
        if (LoadedGraph.ReadDocument(path, catalog, diagnostics) is not { } document)
            return null;
        return new(path, ContentHash.OfFile(path), folder => GraphSource.Of(document, new(System.IO.Path.GetFullPath(folder), folder, [("the recipe", System.IO.Path.GetFullPath(path))])));
    }
}
