using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Stems;

namespace RenderGraph.Nodes.Measures.LowEnd;

/// <summary>What was measured of one stem.</summary>
/// <param name="Name">As in the graph.</param>
public sealed record MeasuredStem(string Name, StemFormat Format, long StartFrame, bool IsMuted, StemFacts Facts, StemLowEnd LowEnd);
