using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Validation;

namespace RenderGraph.Graph.Binding;

/// <summary>A recipe that has been read: the same clean-up for many songs.</summary>
public sealed class Recipe
{
    private readonly string _file;
    private readonly NodeCatalog _catalog;
    private readonly JsonObject _tree;

    private readonly IReadOnlyList<Diagnostic> _textFaults; // such as a key written twice: the tree goes on without

    private Recipe(string file, NodeCatalog catalog, JsonObject tree, IReadOnlyList<Diagnostic> textFaults) => (_file, _catalog, _tree, _textFaults) = (file, catalog, tree, textFaults);

    /// <summary>Whether a text is a recipe: a graph of which a stem says what it matches.</summary>
    public static bool IsRecipe(ReadOnlyMemory<byte> utf8) => JsonTreeReader.Read("", utf8, new()) is JsonObject tree && RecipeKeys.MarkOf(tree) is not null;

    /// <summary>Reads a recipe's file. Null, and a fault noted, if it cannot be had or is no JSON object.</summary>
    /// <param name="path">As the user typed it.</param>
    public static Recipe? Open(string path, NodeCatalog catalog, DiagnosticList diagnostics) =>
        GraphFile.Read(path, diagnostics, "recipe") is { } utf8 ? Read(path, utf8, catalog, diagnostics) : null;

    /// <summary>Whether a file is a recipe; what cannot be read is none.</summary>
    public static bool IsRecipe(string path) => GraphFile.Read(path, new()) is { } utf8 && IsRecipe(utf8);

    /// <summary>Reads a recipe's text. Null, and a fault noted, if it is no JSON object; all other faults are told when it is checked or bound.</summary>
    /// <param name="file">The file as the user named it.</param>
    public static Recipe? Read(string file, ReadOnlyMemory<byte> utf8, NodeCatalog catalog, DiagnosticList diagnostics)
    {
        var faults = new DiagnosticList();
        var root = JsonTreeReader.Read(file, utf8, faults);
        if (root is JsonObject tree)
            return new(file, catalog, tree, faults.InOrder);
        if (root is not null)
            GraphReader.ReadRecipe(file, root, catalog, faults); // says why it is none
        foreach (var fault in faults.InOrder)
            diagnostics.Add(fault);
        return null;
    }

    /// <summary>The file as the user named it.</summary>
    public string File => _file;

    /// <summary>Everything that can be said of it without a song. Null if it could not be read.</summary>
    public GraphDocument? Check(DiagnosticList diagnostics) => Check(_tree, diagnostics);

    /// <summary>Binds it to a song. All faults are noted: of the recipe, of what the song says, and of files that do not fit.</summary>
    /// <param name="prefix">Put before every path: the way from the graph's folder to the song's, ending in <c>/</c>; empty if they are one.</param>
    /// <returns>Null if there are errors.</returns>
    public BoundSong? Bind(SongFiles song, DiagnosticList diagnostics, string prefix = "")
    {
        var faults = new DiagnosticList();
        try
        {
            var overrides = song.OwnFile is { } own ? SongOverrides.Read(_tree, own.Name, own.Utf8, faults) : SongOverrides.None(_tree, faults);
            if (Check(overrides.Tree, faults) is not { } recipe)
                return null;
            var stemsAt = overrides.Tree.Find("stems")?.At ?? overrides.Tree.At;
            var assignment = FileAssignment.Of(recipe, song.Files, overrides.AbsentStems, stemsAt, faults);
            if (faults.HasErrors)
                return null;

            var bound = new BoundTree(recipe, overrides, assignment, _catalog, prefix);
            var tree = bound.Make(song.Title, faults);
            if (faults.HasErrors || GraphReader.Read(_file, tree, _catalog, faults) is not { } document || faults.HasErrors)
                return null;
            document = document with { Stems = [.. document.Stems.Zip(bound.Files, (stem, file) => stem with { TakenBy = file.Why })] };
            return new(document, tree, bound.Files, assignment.LeftOut, bound.Dropped);
        }
        finally
        {
            foreach (var fault in faults.InOrder)
                diagnostics.Add(fault);
        }
    }

    private GraphDocument? Check(JsonObject tree, DiagnosticList diagnostics)
    {
        foreach (var fault in _textFaults)
            diagnostics.Add(fault);
        if (_tree.Find("stems") is { Value: JsonObject { Members.Count: > 0 } stems } section && stems.Members.All(stem => stem.Value is JsonObject body && body.Find(RecipeKeys.File) is { Value: JsonText }))
        {
            diagnostics.Add(new(
                DiagnosticCode.NotBound, _file, section.At, "this is a graph and not a recipe: every stem names its file",
                "Render it as it is, or let stems say what they match: \"match\": \"*kick*\" in the place of \"file\""));
            return null;
        }

        if (GraphReader.ReadRecipe(_file, tree, _catalog, diagnostics) is not { } recipe)
            return null;
        GraphValidator.Validate(recipe, sampleRateHz: null, diagnostics);
        RecipeRules.Check(recipe, diagnostics);
        return recipe;
    }
}
