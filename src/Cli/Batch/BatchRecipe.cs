using RenderGraph.Cli.Binding;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Locks;
using RenderGraph.Graph.Validation;

namespace RenderGraph.Cli.Batch;

/// <summary>What is done to every song of a batch: a recipe, or a graph whose files every song has under the same names.</summary>
/// <param name="Path">As it was typed.</param>
/// <param name="Title">What it calls itself, or its file's name.</param>
/// <param name="ContentXxh128">Hash of its bytes.</param>
/// <param name="For">The graph that it makes of a song's folder.</param>
internal sealed record BatchRecipe(string Path, string Title, string ContentXxh128, Func<string, GraphSource> For)
{
    /// <summary>Its file's name.</summary>
    public string FileName => System.IO.Path.GetFileName(Path);

    /// <summary>Reads it once for all songs; null, after its faults are noted.</summary>
    public static BatchRecipe? Read(string path, NodeCatalog catalog, DiagnosticList diagnostics)
    {
        if (GraphFile.Read(path, diagnostics) is not { } text)
            return null;
        if (!Recipe.IsRecipe(text))
        {
            return LoadedGraph.ReadDocument(path, catalog, diagnostics) is { } document && !diagnostics.HasErrors
                ? Of(document, folder => GraphSource.Of(document, new(System.IO.Path.GetFullPath(folder), folder, [("the recipe", System.IO.Path.GetFullPath(path))])))
                : null;
        }

        return Recipe.Read(path, text, catalog, diagnostics) is { } recipe && recipe.Check(diagnostics) is { } unbound && !diagnostics.HasErrors
            ? Of(unbound, folder => new SongFolder(folder).Source(recipe))
            : null;

        BatchRecipe Of(GraphDocument graph, Func<string, GraphSource> source) => new(path, graph.Title ?? System.IO.Path.GetFileName(path), ContentHash.Of(text.Span).Xxh128, source);
    }
}
