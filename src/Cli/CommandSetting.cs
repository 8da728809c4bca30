using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures;

namespace RenderGraph.Cli;

/// <summary>What every command works with.</summary>
internal sealed record CommandSetting(Terminal Terminal, NodeCatalog Catalog, IAudioFiles Files, CancellationToken Cancellation)
{
    /// <summary>Listens to anchors.</summary>
    public IAnchorMeasuring Anchor => new AnchorMeasuring(Cancellation);
}
