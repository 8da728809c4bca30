using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>An output that marks the anchor's hits has an anchor whose hits are known, or will be.</summary>
internal static class CuesNeedHitsRule
{
    public static void Check(GraphDocument document, DiagnosticList diagnostics)
    {
        foreach (var output in document.Outputs)
        {
            if (output.CuesAtHitsAt is not { } at || document.Anchor is { HasHits: true })
                continue;
            diagnostics.Add(new(
                DiagnosticCode.Contradiction, document.File, at, $"output \"{output.Id}\" asks for cues at the anchor's hits, but nobody knows when it hits",
                document.Anchor is null ? "Add an anchor with \"hits\": \"measure\", or leave out cues" : "Add \"hits\": \"measure\" to the anchor, or leave out cues"));
        }
    }
}
