using RenderGraph.Graph.Contracts;

namespace RenderGraph.Cli.Analysis;

/// <summary>A stem found in a folder.</summary>
/// <param name="Name">Made from the file's name, fit for a graph.</param>
/// <param name="FileName">The file, in its folder.</param>
/// <param name="Reader">Open, at the rate of the others.</param>
/// <param name="IsConverted">Its own rate is another.</param>
internal sealed record FolderStem(string Name, string FileName, IStemReader Reader, bool IsConverted);
