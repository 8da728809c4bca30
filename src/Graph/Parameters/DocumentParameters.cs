namespace RenderGraph.Graph.Parameters;

/// <summary>Placeholder until the reader lands.</summary>
public sealed class DocumentParameters;
