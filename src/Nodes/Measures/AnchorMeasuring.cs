using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Hits;
using RenderGraph.Nodes.Measures.Pitch;

namespace RenderGraph.Nodes.Measures;

/// <summary>Measures the anchor with <see cref="HitFinder"/> and <see cref="DominantFrequencyFinder"/>, one pass over its stem each.</summary>
public sealed class AnchorMeasuring(CancellationToken cancellation) : IAnchorMeasuring
{
    private const int BlockFrames = 16384;

    /// <inheritdoc/>
    public IReadOnlyList<Hit> Hits(IStemReader stem)
    {
        var finder = new HitFinder(stem.Format.SampleRateHz);
        Hear(stem, finder.Add);
        return finder.Finish();
    }

    /// <inheritdoc/>
    public DominantFrequency? Frequency(IStemReader stem, IReadOnlyList<Hit> hits)
    {
        var finder = new DominantFrequencyFinder(stem.Format.SampleRateHz, hits);
        Hear(stem, finder.Add);
        return finder.Finish();
    }

    private void Hear(IStemReader stem, Action<Signal> hear)
    {
        var block = Signal.Allocate(stem.Format.Channels, BlockFrames);
        for (var start = 0L; start < stem.Format.LengthFrames; start += BlockFrames)
        {
            cancellation.ThrowIfCancellationRequested();
            var part = block.Slice(0, (int)Math.Min(BlockFrames, stem.Format.LengthFrames - start));
            stem.Read(start, part);
            hear(part);
        }
    }
}
