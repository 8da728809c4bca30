using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Checks;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.Hits;
using RenderGraph.Nodes.Measures.Layers;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Nodes.Measures.Parts;
using RenderGraph.Nodes.Measures.Pitch;
using RenderGraph.Nodes.Measures.Stems;

namespace RenderGraph.Nodes.Measures;

/// <summary>
/// Who owns a song's low end, who collides, which layers are needed, and what to know about the stems. Stems are streamed: memory does not grow with the song but for a few numbers a hit and stem.
/// </summary>
public sealed class SongAnalysis : IDisposable
{
    private const int ReadFrames = 1 << 15;

    private SongAnalysis(
        LowEndMap map, IReadOnlyList<PartGuess> guesses, AnchorFinding? anchor, IReadOnlyList<LayerGroup> layers, CollisionMap? collisions, IReadOnlyList<Check> checks)
    {
        (Map, Guesses, Anchor, Layers, Collisions, Checks) = (map, guesses, anchor, layers, collisions, checks);
    }

    /// <summary>The low end of every stem.</summary>
    public LowEndMap Map { get; }

    /// <summary>What each stem is.</summary>
    public IReadOnlyList<PartGuess> Guesses { get; }

    /// <summary>The anchor; null if none was told and none is to be found: no low part that strikes.</summary>
    public AnchorFinding? Anchor { get; }

    /// <summary>Stems that play the same thing together.</summary>
    public IReadOnlyList<LayerGroup> Layers { get; }

    /// <summary>Who collides with the anchor; null without an anchor and its frequency.</summary>
    public CollisionMap? Collisions { get; }

    /// <summary>What to know about the stems.</summary>
    public IReadOnlyList<Check> Checks { get; }

    /// <summary>Analyses.</summary>
    /// <param name="stems">All of one rate, with different names.</param>
    /// <param name="told">What the person said about the anchor.</param>
    /// <param name="threads">Most threads; the figures do not depend on it.</param>
    /// <exception cref="StemException">A stem changed or failed while it was read.</exception>
    /// <exception cref="OutputException">There is no room for the temporary file.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static SongAnalysis Measure(IReadOnlyList<SongStem> stems, int sampleRateHz, ToldAnchor told, int threads, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(stems);
        ArgumentNullException.ThrowIfNull(told);
        var map = LowEndMap.Measure(stems, sampleRateHz, threads, cancellation);
        try
        {
            var loudest = map.Stems.Select(stem => stem.LowEnd.LevelDbfs).Max();
            var guesses = map.Stems.Select(stem => PartGuess.Of(stem, loudest)).ToList();
            var heard = new Dictionary<int, IReadOnlyList<Hit>>();
            IReadOnlyList<Hit> HitsOf(int stem) => heard.TryGetValue(stem, out var known) ? known : heard[stem] = Find(stems[stem], sampleRateHz, cancellation);

            // All kicks at once: they are what layers and the anchor are chosen from.
            var kicks = Enumerable.Range(0, stems.Count).Where(stem => guesses[stem].Kind == PartKind.Kick).ToList();
            var found = new IReadOnlyList<Hit>[kicks.Count];
            Parallelly.For(kicks.Count, threads, kick => found[kick] = Find(stems[kicks[kick]], sampleRateHz, cancellation), cancellation);
            for (var kick = 0; kick < kicks.Count; kick++)
                heard[kicks[kick]] = found[kick];

            var layers = stems.Count == 0 ? [] : LayerMap.Measure(map, guesses, HitsOf);
            var anchor = AnchorFinding.Choose(map, guesses, told, layers, HitsOf, (stem, hits) => DominantOf(stems[stem], sampleRateHz, hits, cancellation));
            var checks = StemChecks.Of(map).ToList();
            if (anchor?.Dominant is null)
                return new(map, guesses, anchor, layers, null, checks);

            var hits = new AnchorHits(
                anchor.Stem, [.. layers.Where(group => group.Contains(anchor.Stem)).SelectMany(group => group.Layers).Select(layer => layer.Stem).Where(stem => stem != anchor.Stem)],
                anchor.Dominant.FrequencyHz, anchor.Hits);
            var collisions = CollisionMap.Measure(map, hits, threads, cancellation);
            checks.AddRange(DuckedCheck.Of(map, hits, threads, cancellation));
            return new(map, guesses, anchor, layers, collisions, checks);
        }
        catch
        {
            map.Dispose();
            throw;
        }
    }

    /// <summary>Takes the temporary file away.</summary>
    public void Dispose() => Map.Dispose();

    private static List<Hit> Find(SongStem stem, int sampleRateHz, CancellationToken cancellation)
    {
        var finder = new HitFinder(sampleRateHz);
        var first = Hear(stem, finder.Add, cancellation);
        return [.. finder.Finish().Select(hit => hit with { Frame = hit.Frame + first })];
    }

    private static DominantFrequency? DominantOf(SongStem stem, int sampleRateHz, IReadOnlyList<Hit> hits, CancellationToken cancellation)
    {
        var first = Math.Max(0, stem.StartFrame);
        var finder = new DominantFrequencyFinder(sampleRateHz, [.. hits.Select(hit => hit with { Frame = hit.Frame - first })]);
        Hear(stem, finder.Add, cancellation);
        return finder.Finish();
    }

    // From the stem's first frame that lies in the song, which is answered.
    private static long Hear(SongStem stem, Action<Signal> add, CancellationToken cancellation)
    {
        var block = Signal.Allocate(stem.Reader.Format.Channels, ReadFrames);
        var first = Math.Max(0, stem.StartFrame);
        for (var start = first; start < stem.EndFrame; start += ReadFrames)
        {
            cancellation.ThrowIfCancellationRequested();
            var part = block.Slice(0, (int)Math.Min(ReadFrames, stem.EndFrame - start));
            stem.Read(start, part);
            add(part);
        }

        return first;
    }
}
