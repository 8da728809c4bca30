namespace RenderGraph.Graph.Binding;

/// <summary>A file of a song and the stem that it became.</summary>
/// <param name="File">From the song's folder, <c>/</c> between folders.</param>
/// <param name="Stem">The stem's name in the graph.</param>
/// <param name="RecipeStem">Its name in the recipe: another if the stem takes many files.</param>
/// <param name="Pattern">The pattern that took it; null if it is named.</param>
public sealed record BoundFile(string File, string Stem, string RecipeStem, NamePattern? Pattern)
{
    /// <summary><c>by "*kick*"</c>, or <c>by its name</c>.</summary>
    public string Why => Pattern is { } pattern ? $"by \"{pattern.Written}\"" : "by its name";
}
