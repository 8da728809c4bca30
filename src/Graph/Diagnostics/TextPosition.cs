namespace RenderGraph.Graph.Diagnostics;

/// <summary>A place in a text, both counted from 1. A column counts UTF-16 units, as editors do. <c>default</c> means the whole file.</summary>
public readonly record struct TextPosition(int Line, int Column)
{
    /// <summary>The file that the text is in, as messages call it, if a graph was put together from several; null: the graph's own.</summary>
    public string? File { get; init; }
}
