namespace RenderGraph.Graph.Diagnostics;

/// <summary>A place in a text, both counted from 1. A column counts UTF-16 units, as editors do. <c>default</c> means the whole file.</summary>
public readonly record struct TextPosition(int Line, int Column);
