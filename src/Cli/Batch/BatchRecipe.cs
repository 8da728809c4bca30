using System.Text.Json;
using RenderGraph.Cli.Binding;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Locks;

namespace RenderGraph.Cli.Batch;

/// <summary>What is done to every song of a batch: a recipe, or a graph whose files every song has under the same names. It is only looked into once a song needs it.</summary>
internal sealed class BatchRecipe
{
    private static readonly JsonDocumentOptions AsGraphsAre = new() { CommentHandling = JsonCommentHandling.Skip, AllowTrailingCommas = true, MaxDepth = 256 };

    private readonly Lazy<Func<string, GraphSource>> _source;

    private BatchRecipe(string path, ReadOnlyMemory<byte> text, NodeCatalog catalog)
    {
        (Path, ContentXxh128, Title) = (path, ContentHash.Of(text.Span).Xxh128, TitleOf(text) ?? System.IO.Path.GetFileName(path));
        _source = new(() =>
        {
            var diagnostics = new DiagnosticList();
            return Read(path, text, catalog, diagnostics) is { } source && !diagnostics.HasErrors ? source : throw new RecipeException(diagnostics);
        });
    }

    /// <summary>As it was typed.</summary>
    public string Path { get; }

    /// <summary>Its file's name.</summary>
    public string FileName => System.IO.Path.GetFileName(Path);

    /// <summary>What it calls itself, or its file's name.</summary>
    public string Title { get; }

    /// <summary>Hash of its bytes.</summary>
    public string ContentXxh128 { get; }

    /// <summary>Reads its bytes; null, after its fault is noted, if that cannot be.</summary>
    public static BatchRecipe? Open(string path, NodeCatalog catalog, DiagnosticList diagnostics) => GraphFile.Read(path, diagnostics) is { } text ? new(path, text, catalog) : null;

    /// <summary>The graph that it makes of a song's folder.</summary>
    /// <exception cref="RecipeException">The recipe itself has faults: no song can be rendered by it.</exception>
    public GraphSource For(string folder) => _source.Value(folder);

    private static Func<string, GraphSource>? Read(string path, ReadOnlyMemory<byte> text, NodeCatalog catalog, DiagnosticList diagnostics)
    {
        if (Recipe.IsRecipe(text))
            return Recipe.Read(path, text, catalog, diagnostics) is { } recipe && recipe.Check(diagnostics) is not null ? folder => new SongFolder(folder).Source(recipe) : null;
        return GraphReader.Read(path, text, catalog, diagnostics) is { } document
            ? folder => GraphSource.Of(document, new(System.IO.Path.GetFullPath(folder), folder, [("the recipe", System.IO.Path.GetFullPath(path))]))
            : null;
    }

    private static string? TitleOf(ReadOnlyMemory<byte> text)
    {
        try
        {
            using var json = JsonDocument.Parse(text, AsGraphsAre);
            return json.RootElement.ValueKind == JsonValueKind.Object && json.RootElement.TryGetProperty("title", out var title) && title.ValueKind == JsonValueKind.String ? title.GetString() : null;
        }
        catch (Exception fault) when (fault is JsonException or InvalidOperationException)
        {
            return null; // its faults are told when it is read
        }
    }
}
