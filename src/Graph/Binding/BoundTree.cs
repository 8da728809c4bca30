using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Binding;

/// <summary>Makes a graph of a recipe and the files that its stems took: patterns become paths, many files become stems and their sum, and what a song does not have goes, with all that hangs upon it.</summary>
/// <param name="recipe">Without faults.</param>
/// <param name="overrides">The recipe's tree as it is for this song.</param>
/// <param name="prefix">Put before every path: the way from the graph's folder to the song's; empty if they are one.</param>
internal sealed class BoundTree(GraphDocument recipe, SongOverrides overrides, FileAssignment assignment, NodeCatalog catalog, string prefix)
{
    private readonly WhatIsLeft _left = new(catalog, recipe.Anchor is not null);

    /// <summary>Which file became which stem.</summary>
    public IReadOnlyList<BoundFile> Files { get; private set; } = [];

    /// <summary>What the song goes without, and why.</summary>
    public IReadOnlyList<DroppedPart> Dropped => _left.Dropped;

    /// <summary>The graph's tree.</summary>
    /// <param name="title">The song's name, unless it says another.</param>
    public JsonObject Make(string title, DiagnosticList diagnostics)
    {
        var root = overrides.Tree;
        var sums = new List<JsonMember>();
        var stemsLeft = new StemsLeft(recipe, overrides, assignment, catalog, _left, prefix);
        var stems = stemsLeft.Make(Section(root, "stems"), sums);
        Files = stemsLeft.Files;
        DropAnchor(diagnostics);
        stems = stems.ConvertAll(Measured);
        sums = sums.ConvertAll(Measured);
        var nodes = new NodesLeft(recipe, _left).Make(Section(root, "nodes"));
        var outputsLeft = new OutputsLeft(recipe, overrides, _left);
        var outputs = outputsLeft.Make(Section(root, "outputs"), diagnostics);
        var members = new List<JsonMember>();
        var at = root.At;
        foreach (var member in root.Members)
        {
            switch (member.Name)
            {
                case "title" or "nodes" or RecipeKeys.LeaveOut:
                    break;
                case "stems":
                    members.Add(With(member, stems));
                    break;
                case "anchor":
                    if (_left.HasAnchor) members.Add(Anchor(member));
                    break;
                case "outputs":
                    members.Add(With(member, outputs));
                    break;
                case "expect":
                    if (outputsLeft.Gates(member) is { } gates) members.Add(gates);
                    break;
                default:
                    members.Add(member);
                    break;
            }
        }

        if (nodes.Count + sums.Count > 0)
        {
            var written = root.Find("nodes");
            var section = new JsonMember("nodes", written?.At ?? at, new JsonObject(written?.Value.At ?? at, [.. sums, .. nodes]));
            members.Insert(members.FindIndex(member => member.Name == "outputs") is var place and >= 0 ? place : members.Count, section);
        }

        members.InsertRange(
            members.FindIndex(member => member.Name == "format") + 1,
            [new("title", overrides.Title?.At ?? at, overrides.Title ?? new JsonText(at, title)), new("boundFrom", at, Origin(at))]);
        return root with { Members = members };
    }

    private JsonObject Origin(TextPosition at)
    {
        var name = new JsonMember("recipe", at, new JsonText(at, Path.GetFileName(recipe.File)));
        return new(at, Dropped.Count == 0
            ? [name]
            : [name, new("dropped", at, new JsonArray(at, [.. Dropped.Select(part => new JsonText(at, part.ToString()))]))]);
    }

    private static IReadOnlyList<JsonMember> Section(JsonObject root, string name) => root.Find(name)?.Value is JsonObject section ? section.Members : [];

    private static JsonMember With(JsonMember section, List<JsonMember> members) => section with { Value = ((JsonObject)section.Value) with { Members = members } };

    private JsonMember Measured(JsonMember stem) => stem with { Value = _left.Measured($"stem \"{stem.Name}\"", (JsonObject)stem.Value) };

    private void DropAnchor(DiagnosticList diagnostics)
    {
        if (recipe.Anchor is not { } anchor)
            return;
        var isMissing = _left.Meaning(anchor.Stem.Value) is null;
        if (!overrides.HasNoAnchor && !isMissing)
            return;
        if (!overrides.HasNoAnchor && !anchor.IsOptional)
        {
            diagnostics.Add(new(
                DiagnosticCode.MissingAnchor, recipe.File, anchor.Stem.At, $"the anchor is stem \"{anchor.Stem.Value}\", which this song does not have",
                "Name another in song.json, \"anchor\": { \"stem\": ... }, or let the recipe say that the anchor is \"optional\": true: what hangs upon it is then left out"));
        }

        _left.DropAnchor(overrides.HasNoAnchor ? "the song says that it has none" : $"its stem \"{anchor.Stem.Value}\" is not there");
    }

    private JsonMember Anchor(JsonMember written)
    {
        var body = (JsonObject)written.Value;
        return written with
        {
            Value = body with
            {
                Members =
                [
                    .. body.Members.Where(key => key.Name != RecipeKeys.Optional)
                        .Select(key => key.Name == "hits" && recipe.Anchor!.HitsFile is { } file ? key with { Value = new JsonText(file.At, prefix + file.Value) } : key),
                ],
            },
        };
    }
}
