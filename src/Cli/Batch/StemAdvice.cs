using System.Text.Json;
using RenderGraph.Cli.Analysis;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures;
using RenderGraph.Nodes.Measures.Bands;
using RenderGraph.Nodes.Measures.Checks;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.Layers;
using static System.FormattableString;

namespace RenderGraph.Cli.Batch;

/// <summary>What an analysis of the stems, as they came, has to say to the person who made them.</summary>
internal static class StemAdvice
{
    /// <summary>What is heard most comes first.</summary>
    public static IReadOnlyList<SongAdvice> Of(SongAnalysis analysis, double? tempoBpm)
    {
        var map = analysis.Map;
        return [.. Anchor().Concat(Collisions()).Concat(Layers()).Concat(analysis.Checks.Where(check => !map.Stems[check.Stem].IsMuted).Select(CheckOf)).OrderBy(advice => AdviceKinds.Order(advice.Kind))];

        IEnumerable<SongAdvice> Anchor()
        {
            if (analysis.Anchor is not { } anchor)
                yield return Of(AdviceKinds.NoAnchor, null, "nobody owns the low end", null, "No low part strikes clearly enough.");
            else if (anchor is { IsFrequencyTold: false, Dominant.Confidence: < DominantFrequency.LowConfidence })
                yield return Of(AdviceKinds.UnsureFrequency, Name(anchor.Stem), $"the hits of {Name(anchor.Stem)} do not agree on a note", null, Invariant($"Their agreement is {anchor.Dominant.Confidence:0.00} of 1."));
        }

        IEnumerable<SongAdvice> Collisions()
        {
            if (analysis.Collisions is not { } collisions)
                yield break;
            var anchor = Name(collisions.Anchor.Stem);
            var worst = collisions.Worst(int.MaxValue);
            foreach (var stem in collisions.Stems.Where(stem => stem.Kind != CollisionKind.Clear && !map.Stems[stem.Stem].IsMuted).OrderByDescending(stem => stem.Overlap).ThenBy(stem => stem.Stem))
            {
                var isMasking = stem.Kind == CollisionKind.Masking;
                var place = worst.FirstOrDefault(place => place.Stem == stem.Stem);
                var level = stem.PartDb is { } part ? $", at {Say.Decimal(part)} dB against it in its own band" : "";
                yield return new(
                    isMasking ? AdviceKinds.Masking : AdviceKinds.Cancelling, Name(stem.Stem), isMasking ? $"{Name(stem.Stem)} covers {anchor} while it hits" : $"{Name(stem.Stem)} and {anchor} cancel each other",
                    place is null ? null : $"most at {ErbScale.HalfErbBands[place.Collision.WorstBand].Name}, and at {Time(place.Frame)}",
                    isMasking
                        ? Invariant($"It covers {100 * stem.Overlap:0} % of the low end of {anchor} at its hits{level}.")
                        : $"Together they have {Say.Decimal(-(stem.SumAgainstPowersDb ?? 0))} dB less than their powers added, from hit to hit the same.",
                    Sentence(Words.Of(stem.Remedy)));
            }
        }

        IEnumerable<SongAdvice> Layers() =>
            from layers in analysis.Layers
            from layer in layers.Layers
            where layer.Verdict != LayerVerdict.Keep && !map.Stems[layer.Stem].IsMuted
            let kind = AdviceKinds.Layer + Words.Of(layer.Verdict)
            select new SongAdvice(kind, Name(layer.Stem), $"{Name(layer.Stem)} plays the same as {Name(layers.First)}", null, Words.Why(layer, Name(layers.First)), TryOf(layer, kind));

        SongAdvice CheckOf(Check check)
        {
            var sentence = Words.Of(check, map);
            var end = sentence.IndexOf(". ", StringComparison.Ordinal);
            var (what, remedy) = end < 0 ? (sentence, null) : (sentence[..end], sentence[(end + 2)..]);
            var kind = AdviceKinds.Check + JsonNamingPolicy.CamelCase.ConvertName(check.Kind.ToString());
            return new(kind, Name(check.Stem), what.TrimEnd('.'), check.Frame is { } frame ? $"at {Time(frame)}" : null, null, remedy ?? AdviceKinds.Try(kind));
        }

        string Name(int stem) => map.Stems[stem].Name;

        string Time(long frame)
        {
            var seconds = frame / (double)map.SampleRateHz;
            return SongTime.Write(seconds) + (tempoBpm is { } tempo ? $" (bar {SongTime.WriteBar(seconds, tempo)})" : "");
        }
    }

    private static string TryOf(Layer layer, string kind) => layer.Verdict switch
    {
        LayerVerdict.Shift => $"Play it {Words.Shift(layer.ShiftMs)} (delay).",
        LayerVerdict.TurnOver when layer.ShiftMs != 0 => $"Turn it over (polarity), and play it {Words.Shift(layer.ShiftMs)} (delay).",
        _ => AdviceKinds.Try(kind),
    };

    private static SongAdvice Of(string kind, string? stem, string what, string? where, string? why) => new(kind, stem, what, where, why, AdviceKinds.Try(kind));

    private static string Sentence(string text) => text.Length == 0 ? text : char.ToUpperInvariant(text[0]) + text[1..];
}
