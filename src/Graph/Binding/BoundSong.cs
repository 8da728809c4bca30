using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Binding;

/// <summary>A recipe bound to a song: an ordinary graph, and how it came about.</summary>
/// <param name="Document">The graph. Its places lie in the recipe, and those of what the song changes in the song's own file.</param>
/// <param name="Tree">The same as a tree, to be written down.</param>
/// <param name="Files">Which file became which stem, in the order of the graph.</param>
/// <param name="LeftOut">Files that are no stems, and the pattern that says so.</param>
/// <param name="Dropped">What the song goes without.</param>
public sealed record BoundSong(
    GraphDocument Document, JsonObject Tree, IReadOnlyList<BoundFile> Files, IReadOnlyList<(string File, NamePattern Pattern)> LeftOut, IReadOnlyList<DroppedPart> Dropped)
{
    /// <summary>The graph as a text of its own, with comments that say what took which file, and what was left out. The same recipe and song always give the same text.</summary>
    public string Write()
    {
        var comments = new Dictionary<JsonMember, string>(ReferenceEqualityComparer.Instance);
        foreach (var (member, file) in ((JsonObject)Tree.Find("stems")!.Value).Members.Zip(Files))
            comments.Add(member, file.Why);
        var head = new List<string> { "Bound to this song by rendergraph. What is changed here, binding it once more would not know: song.json is the place for that." };
        head.AddRange(LeftOut.Select(file => $"Left out: {file.File}, by \"{file.Pattern.Written}\"."));
        return GraphText.Write(Tree, head, comments.GetValueOrDefault);
    }
}
