namespace RenderGraph.Graph.Validation;

/// <summary>Where a graph comes from.</summary>
/// <param name="Folder">Full path of the folder that its paths count from.</param>
/// <param name="ShownFolder">The same as messages write it; empty for the one that the command runs in.</param>
/// <param name="Sources">Full paths of the files that it was read from, which no output may replace, and what sentences call them.</param>
public sealed record GraphPlace(string Folder, string ShownFolder, IReadOnlyList<(string Name, string Path)> Sources)
{
    /// <summary>Of a graph that is a file.</summary>
    /// <param name="graphPath">As the user typed it.</param>
    public static GraphPlace OfFile(string graphPath)
    {
        var fullPath = Path.GetFullPath(graphPath);
        return new(Path.GetDirectoryName(fullPath)!, Path.GetDirectoryName(graphPath) ?? "", [("the graph itself", fullPath)]);
    }
}
