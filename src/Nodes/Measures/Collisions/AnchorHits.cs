using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>The anchor as the other parts are compared with it.</summary>
/// <param name="Stem">Its place among the stems.</param>
/// <param name="Layers">Further stems that strike with it and count as part of it.</param>
/// <param name="FrequencyHz">Where its low note sits.</param>
/// <param name="Hits">When it strikes, in the song's frames.</param>
public sealed record AnchorHits(int Stem, IReadOnlyList<int> Layers, double FrequencyHz, IReadOnlyList<Hit> Hits)
{
    /// <summary>The anchor and its layers.</summary>
    public bool Contains(int stem) => stem == Stem || Layers.Contains(stem);
}
