using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;

namespace RenderGraph.Cli;

/// <summary>What every command works with: what a run does, and the terminal.</summary>
internal sealed record CommandSetting(Terminal Terminal, NodeCatalog Catalog, IAudioFiles Files, CancellationToken Cancellation) : RunSetting(Catalog, Files, Cancellation);
