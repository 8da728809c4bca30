using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Validation;

namespace RenderGraph.Graph.Locks;

/// <summary>How a graph and its inputs are now: what a lock is held against, and what the next lock is made of.</summary>
/// <param name="Document">With the anchor's measures, as far as they are known.</param>
/// <param name="Inputs">What is in each file that it reads, by its path as written; null for one that cannot be read.</param>
public sealed record GraphState(GraphDocument Document, IReadOnlyDictionary<string, ContentHash?> Inputs)
{
    /// <summary>All that the bytes hang on.</summary>
    public IReadOnlyDictionary<string, string> Effective { get; } = EffectiveGraph.Of(Document);

    /// <summary>What was measured of the anchor just now; null if it was not.</summary>
    public LockedAnchor? MeasuredAnchor { get; init; }

    /// <summary>The files that a graph reads, by their paths as written: stems, and the anchor's hits.</summary>
    public static IReadOnlyList<string> FilesOf(GraphDocument document) =>
    [
        .. document.Stems.Select(stem => stem.File.Value).Concat(document.Anchor?.HitsFile is { } hits ? [hits.Value] : [])
            .Where(written => StemPath.Fault(written) is null).Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal),
    ];

    /// <summary>Whether a file lies outside the folder that it belongs into, and so is not to be read unless that was allowed.</summary>
    /// <param name="folder">Full path of the graph's folder.</param>
    public static bool IsOutside(string written, string folder) => StemPath.Outside(written, Path.GetFullPath(Path.Combine(folder, written)), folder) is not null;

    /// <summary>Whether the anchor is listened to: the graph asks for its hits or its frequency, or for a measure that needs them.</summary>
    public static bool Listens(GraphDocument document) =>
        document.Anchor is { } anchor && (anchor.MeasureHitsAt is not null || anchor.MeasureFrequencyAt is not null || document.MeasuresAgainstAnchor);

    /// <summary>A document with what a lock knows of its anchor, whether or not that still holds.</summary>
    public static GraphDocument WithAnchor(GraphDocument document, RenderLock? locked)
    {
        if (document.Anchor is not { } anchor || (!anchor.HasHits && !document.MeasuresAgainstAnchor) || locked?.Anchor is not { } known)
            return document;
        IReadOnlyList<Hit>? hits = known.Hits is { } own ? [.. own.Select(hit => hit with { Frame = hit.Frame + known.StartFrame }).Where(hit => hit.Frame >= 0)] : null;
        return document with { Anchor = anchor with { Measures = new(hits, anchor.ToldFrequencyHz is null ? known.Frequency : null) } };
    }

    /// <summary>Whether what a lock knows of the anchor still holds: nothing that it was measured by has changed.</summary>
    public bool KeepsAnchorOf(RenderLock locked)
    {
        if (locked.Anchor is null || Document.Anchor is not { } anchor || Document.Stems.FirstOrDefault(stem => stem.Id == anchor.Stem.Value) is not { } stem)
            return false;
        string[] files = anchor.HitsFile is { } hits ? [stem.File.Value, hits.Value] : [stem.File.Value];
        return files.All(file => Inputs.GetValueOrDefault(file) is { } content && locked.Inputs.GetValueOrDefault(file) == content)
            && IsSame("anchor" + EffectiveGraph.Separator) && IsSame($"stems{EffectiveGraph.Separator}{stem.Id}{EffectiveGraph.Separator}") && IsSame("sampleRateHz");

        bool IsSame(string prefix) => Under(Effective, prefix).SequenceEqual(Under(locked.Graph, prefix));

        static IEnumerable<KeyValuePair<string, string>> Under(IReadOnlyDictionary<string, string> values, string prefix) =>
            values.Where(value => value.Key.StartsWith(prefix, StringComparison.Ordinal));
    }
}
