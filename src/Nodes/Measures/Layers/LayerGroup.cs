namespace RenderGraph.Nodes.Measures.Layers;

/// <summary>Stems that play the same thing together: several kicks, or two tracks of one bass.</summary>
/// <param name="Layers">The strongest low end first.</param>
public sealed record LayerGroup(IReadOnlyList<Layer> Layers)
{
    /// <summary>The strongest.</summary>
    public int First => Layers[0].Stem;

    /// <summary>Whether a stem is in it.</summary>
    public bool Contains(int stem) => Layers.Any(layer => layer.Stem == stem);
}
