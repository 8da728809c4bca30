namespace RenderGraph.Graph.Contracts;

/// <summary>Listens to the anchor's stem before the plan is made. Both passes stream: memory grows with the hits, not with the song.</summary>
public interface IAnchorMeasuring
{
    /// <summary>The stem's hits by its own frames, in order; none is an answer.</summary>
    /// <exception cref="StemException">The stem failed while being read.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    IReadOnlyList<Hit> Hits(IStemReader stem);

    /// <summary>Where the low note of those hits sits; null if it can be heard after none of them.</summary>
    /// <param name="hits">By the stem's own frames, in order.</param>
    /// <exception cref="StemException">The stem failed while being read.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    DominantFrequency? Frequency(IStemReader stem, IReadOnlyList<Hit> hits);
}
