using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Locks;

/// <summary>Answers what a lock knows of an anchor without listening, as long as it fits; otherwise listens. Keeps what was answered, for the next lock.</summary>
/// <param name="measuring">Listens.</param>
/// <param name="known">What a lock knows; null for nothing.</param>
/// <param name="sampleRateHz">The rate that the known hits' frames count in.</param>
public sealed class AnchorMemory(IAnchorMeasuring measuring, LockedAnchor? known, int sampleRateHz) : IAnchorMeasuring
{
    /// <summary>The hits told last, by the stem's own frames; null if nobody asked.</summary>
    public IReadOnlyList<Hit>? ToldHits { get; private set; }

    /// <inheritdoc/>
    public IReadOnlyList<Hit> Hits(IStemReader stem)
    {
        ArgumentNullException.ThrowIfNull(stem);
        return ToldHits = Fits(stem) && known!.Hits is { } hits ? hits : measuring.Hits(stem);
    }

    /// <inheritdoc/>
    public DominantFrequency? Frequency(IStemReader stem, IReadOnlyList<Hit> hits)
    {
        ArgumentNullException.ThrowIfNull(stem);
        return Fits(stem) && known!.Frequency is { } frequency ? frequency : measuring.Frequency(stem, hits);
    }

    private bool Fits(IStemReader stem) => known is not null && stem.Format.SampleRateHz == sampleRateHz;
}
