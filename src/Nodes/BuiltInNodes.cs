using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes;

/// <summary>Every node type there is, one line each.</summary>
public static class BuiltInNodes
{
    /// <summary>The catalog of all types.</summary>
    public static NodeCatalog Catalog { get; } = new(
    [
    ]);
}
