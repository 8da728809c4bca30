using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.Measures;

/// <summary>What the person said about the anchor; what is left out is found.</summary>
/// <param name="Stem">Its place among the stems.</param>
/// <param name="FrequencyHz">Where its low note sits.</param>
/// <param name="Hits">When it strikes, in the song's frames.</param>
public sealed record ToldAnchor(int? Stem = null, double? FrequencyHz = null, IReadOnlyList<Hit>? Hits = null);
