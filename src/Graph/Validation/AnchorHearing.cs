using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Parameters;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Rendering;

namespace RenderGraph.Graph.Validation;

/// <summary>Puts what must be known of the anchor besides the graph into the document: hits from their file first, then, of a graph without faults, what is to be measured.</summary>
internal static class AnchorHearing
{
    /// <summary>With the hits of their file, if the graph names one.</summary>
    /// <param name="place">Where the graph comes from.</param>
    /// <param name="allowOutside">Whether the file may lie outside it.</param>
    public static GraphDocument WithHitsFile(GraphDocument document, GraphPlace place, int? sampleRateHz, DiagnosticList diagnostics, bool allowOutside)
    {
        if (document.Anchor is not { HitsFile: { } file } anchor || sampleRateHz is not { } rateHz)
            return document;
        if (StemPath.Fault(file.Value) is { } fault)
        {
            diagnostics.Add(new(DiagnosticCode.HitsUnreadable, document.File, file.At, $"the anchor's hits: {fault.Sentence}", "Write the path of a text file, from the graph's folder, or \"measure\""));
            return document;
        }

        var path = Path.GetFullPath(Path.Combine(place.Folder, file.Value));
        if (!allowOutside && StemPath.Outside(file.Value, path, place.Folder) is { } outside)
        {
            diagnostics.Add(new(DiagnosticCode.PathOutside, document.File, file.At, $"the anchor's hits: {outside}", "Put the file there, or, if you trust the graph, say --allow-outside"));
            return document;
        }

        var name = Path.Combine(place.ShownFolder, file.Value);
        var hits = HitsFile.Read(name, path, rateHz, (document.File, file.At), diagnostics);
        return document with { Anchor = anchor with { Measures = new(hits, null) } };
    }

    /// <summary>With what was measured; what cannot be, and what is not certain, is noted.</summary>
    /// <param name="document">Without faults so far.</param>
    public static GraphDocument Measure(
        GraphDocument document, IReadOnlyDictionary<string, IStemReader> stems, int sampleRateHz, IAnchorMeasuring measuring, DiagnosticList diagnostics)
    {
        if (document.Anchor is not { } anchor)
            return document;

        // What only measures want to know is found without a word: they say themselves what they miss.
        var asked = anchor.MeasureHitsAt ?? anchor.MeasureFrequencyAt;
        var isFrequencyWanted = anchor.MeasureFrequencyAt is not null || (document.MeasuresAgainstAnchor && anchor.FrequencyHz is null);
        if (asked is null && !isFrequencyWanted && (anchor.HitsFile is not null || !document.MeasuresAgainstAnchor))
            return document;
        var stem = document.Stems.Single(entry => entry.Id == anchor.Stem.Value);
        var reader = stems[stem.Id];
        var startFrame = Planner.StartFrame(stem, sampleRateHz);
        try
        {
            // A stem may begin before the song: what lies there is not heard.
            var ownHits = anchor.Measures?.Hits is { } told ? [.. told.Select(hit => hit with { Frame = hit.Frame - startFrame })] : measuring.Hits(reader);
            IReadOnlyList<Hit> hits = [.. ownHits.Select(hit => hit with { Frame = hit.Frame + startFrame }).Where(hit => hit.Frame >= 0)];
            var frequency = isFrequencyWanted ? measuring.Frequency(reader, [.. ownHits.Where(hit => hit.Frame >= 0)]) : null;
            if (asked is { } at)
                Judge(document, anchor, hits, frequency, at, diagnostics);
            return document with { Anchor = anchor with { Measures = new(hits, frequency) } };
        }
        catch (StemException failure)
        {
            diagnostics.Add(new(failure.Code, document.File, stem.File.At, $"{Shown.WithFile("stem", stem.Id, stem.File.Value)}: {failure.Sentence}", failure.Remedy));
            return document;
        }
    }

    /// <summary>With the hits in those stretches of the song in which it is compared, if nobody else knows them.</summary>
    public static GraphDocument ForComparing(
        GraphDocument document, IReadOnlyDictionary<string, IStemReader> stems, IReadOnlyDictionary<string, StemFormat> formats, int sampleRateHz, IAnchorMeasuring measuring, DiagnosticList diagnostics)
    {
        if (document is not { Anchor: { Measures.Hits: null } or { Measures: null }, Compared: { MostSeconds: { } most } compared })
            return document;
        var (anchor, stem) = (document.Anchor, document.Stems.Single(entry => entry.Id == document.Anchor.Stem.Value));
        var stretches = HeardStretches.Of(Planner.LengthFrames(document, formats, sampleRateHz), most, sampleRateHz);
        try
        {
            var heard = new StretchedStem(stems[stem.Id], stretches, Planner.StartFrame(stem, sampleRateHz));
            var hits = measuring.Hits(heard).Where(hit => heard.IsWhole(hit.Frame)).ToList();
            return document with
            {
                Compared = compared with
                {
                    HitFrames = [.. hits.Select(hit => heard.SongFrame(hit.Frame))],
                    FrequencyHz = anchor.FrequencyHz is null ? measuring.Frequency(heard, hits)?.FrequencyHz : null,
                },
            };
        }
        catch (StemException failure)
        {
            diagnostics.Add(new(failure.Code, document.File, stem.File.At, $"{Shown.WithFile("stem", stem.Id, stem.File.Value)}: {failure.Sentence}", failure.Remedy));
            return document;
        }
    }

    private static void Judge(GraphDocument document, AnchorEntry anchor, IReadOnlyList<Hit> hits, DominantFrequency? frequency, TextPosition at, DiagnosticList diagnostics)
    {
        if (anchor.MeasureFrequencyAt is { } askedAt && frequency is null)
        {
            diagnostics.Add(new(
                DiagnosticCode.NotMeasurable, document.File, askedAt,
                hits.Count == 0
                    ? $"the anchor's frequency cannot be measured, because no hit was found in stem \"{anchor.Stem.Value}\""
                    : string.Create(CultureInfo.InvariantCulture, $"the anchor's frequency cannot be measured, because after none of its {hits.Count} hits a tone can be heard by itself"),
                "Write the frequency in Hz, such as 55, or name the stem that owns the low end"));
        }
        else if (hits.Count == 0)
        {
            diagnostics.Add(new(
                DiagnosticCode.Uncertain, document.File, at, $"no hit was found in stem \"{anchor.Stem.Value}\", so nothing that moves by the anchor's hits will do anything",
                "See that the anchor is the right stem and is not silent, or write its hits into a file and name that", Severity.Warning));
        }
        else if (anchor.MeasureFrequencyAt is not null && frequency is { Confidence: < DominantFrequency.LowConfidence })
        {
            diagnostics.Add(new(
                DiagnosticCode.Uncertain, document.File, anchor.MeasureFrequencyAt!.Value,
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"the anchor's frequency, measured as {ParameterName.Write(frequency.FrequencyHz)} Hz, is not certain: its confidence is {ParameterName.Write(frequency.Confidence)}, and 1 would be certain; half of its {frequency.HitCount} hits lie within {ParameterName.Write(frequency.SpreadHz)} Hz of it, the others do not"),
                "Listen whether that is its note; if not, write the number in Hz, or choose an anchor that plays one note", Severity.Warning));
        }
    }
}
