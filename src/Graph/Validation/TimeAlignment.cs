using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;
using static System.FormattableString;

namespace RenderGraph.Graph.Validation;

/// <summary>Lines stems up by the clock of their recorder: the earliest is the song's start, and each other one lies as much later as it was recorded.</summary>
public static class TimeAlignment
{
    /// <summary>As far as <c>startMs</c> reaches; more than this apart is no one song.</summary>
    private const int MostHours = 1;

    /// <summary>Gives every stem that asks for it its place. A stem that tells no time is a fault, and so is one too far from the first.</summary>
    public static GraphDocument Of(GraphDocument document, IReadOnlyDictionary<string, StemFormat> formats, int sampleRateHz, DiagnosticList diagnostics)
    {
        var frames = new Dictionary<string, Int128>(StringComparer.Ordinal);
        foreach (var stem in document.Stems)
        {
            if ((stem.AlignBy ?? document.AlignBy) != AlignBy.TimeReference || !formats.TryGetValue(stem.Id, out var format)) continue;
            if (format.TimeReferenceFrames is { } reference)
            {
                frames.Add(stem.Id, Planner.AtRate(reference, format.FileRateHz, sampleRateHz));
                continue;
            }

            diagnostics.Add(new(
                DiagnosticCode.StemPlace, document.File, stem.File.At,
                $"{Named(stem)} is to be lined up by its time reference, but the file tells none",
                "Export it as Broadcast Wave (with a bext chunk), or give the stem \"alignBy\": \"start\" and, if need be, startMs"));
        }

        if (frames.Count == 0) return document;
        var first = document.Stems.Where(stem => frames.ContainsKey(stem.Id)).MinBy(stem => frames[stem.Id])!;
        foreach (var stem in document.Stems.Where(stem => frames.ContainsKey(stem.Id)))
        {
            var later = frames[stem.Id] - frames[first.Id];
            if (later <= (Int128)MostHours * 3600 * sampleRateHz) continue;
            diagnostics.Add(new(
                DiagnosticCode.StemPlace, document.File, stem.File.At,
                Invariant($"{Named(stem)} was recorded {(double)later / sampleRateHz / 3600:0.0} hours after {Named(first)}, by their time references, but stems of one song lie within {MostHours} hour"),
                "If one of them belongs elsewhere, give it \"alignBy\": \"start\" and, if need be, startMs"));
            frames[stem.Id] = frames[first.Id];
        }

        return document with
        {
            Stems = [.. document.Stems.Select(stem => frames.TryGetValue(stem.Id, out var at) ? stem with { AlignedFrames = (long)(at - frames[first.Id]) } : stem)],
        };
    }

    private static string Named(StemEntry stem) => Shown.WithFile("stem", stem.Id, stem.File.Value);
}
