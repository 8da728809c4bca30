using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Layers;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Nodes.Measures.Parts;

namespace RenderGraph.Nodes.Measures;

/// <summary>The part that owns the low end.</summary>
/// <param name="Stem">Its place among the stems.</param>
/// <param name="IsTold">Chosen by the person.</param>
/// <param name="StemConfidence">How sure the choice is, 0 to 1.</param>
/// <param name="IsFrequencyTold">The frequency is the person's.</param>
/// <param name="Dominant">Where its low note sits; null if its hits are too few or too short to tell.</param>
/// <param name="Hits">When it strikes, in the song's frames.</param>
public sealed record AnchorFinding(int Stem, bool IsTold, double StemConfidence, bool IsFrequencyTold, DominantFrequency? Dominant, IReadOnlyList<Hit> Hits)
{
    // A part must be at least this much a kick or a bass to be chosen, and a bass must have so much of the low end.
    private const double LeastLikeness = 0.4, LeastBassShare = 0.15;

    /// <summary>Chooses: what was told; else the kick with the most low end; else the bass with the most; else nobody.</summary>
    internal static AnchorFinding? Choose(
        LowEndMap map, IReadOnlyList<PartGuess> guesses, ToldAnchor told, IReadOnlyList<LayerGroup> layers, Func<int, IReadOnlyList<Hit>> hitsOf,
        Func<int, IReadOnlyList<Hit>, DominantFrequency?> dominantOf)
    {
        if (told.Stem is { } stem)
            return Of(stem, 1);

        var heard = Enumerable.Range(0, map.Stems.Count).Where(index => !map.Stems[index].IsMuted).ToList();
        var kicks = heard.Where(index => guesses[index].Kickness >= LeastLikeness)
            .OrderByDescending(index => guesses[index].Kickness * map.Stems[index].LowEnd.Share).ThenBy(index => index);
        var basses = heard.Where(index => guesses[index].Bassness >= LeastLikeness && map.Stems[index].LowEnd.Share >= LeastBassShare)
            .OrderByDescending(index => guesses[index].Bassness * map.Stems[index].LowEnd.Share).ThenBy(index => index);
        return kicks.Select(FirstOfItsLayers).Concat(basses).Distinct().Select(index => Of(index, guesses[index].Confidence)).FirstOrDefault(finding => finding.Dominant is not null);

        // Of several kicks that strike together, the one that is kept.
        int FirstOfItsLayers(int index) => layers.FirstOrDefault(group => group.Contains(index)) is { } group && guesses[group.First].Kickness >= LeastLikeness ? group.First : index;

        AnchorFinding Of(int index, double confidence)
        {
            var hits = told.Hits ?? hitsOf(index);
            var dominant = told.FrequencyHz is { } frequencyHz ? new(frequencyHz, 0, 1, hits.Count) : dominantOf(index, hits);
            return new(index, told.Stem is not null, confidence, told.FrequencyHz is not null, dominant, hits);
        }
    }
}
