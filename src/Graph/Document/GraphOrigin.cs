namespace RenderGraph.Graph.Document;

/// <summary>That a graph was bound from a recipe, and what of the recipe its song goes without.</summary>
/// <param name="Recipe">The recipe's file name.</param>
/// <param name="Dropped">Each part, a colon and the reason.</param>
public sealed record GraphOrigin(string Recipe, IReadOnlyList<string> Dropped);
