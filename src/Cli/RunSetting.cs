using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures;

namespace RenderGraph.Cli;

/// <summary>What a run works with: no console among it, so that a thousand runs can go on at once.</summary>
internal record RunSetting(NodeCatalog Catalog, IAudioFiles Files, CancellationToken Cancellation)
{
    /// <summary>Listens to anchors.</summary>
    public IAnchorMeasuring Anchor => new AnchorMeasuring(Cancellation);
}
