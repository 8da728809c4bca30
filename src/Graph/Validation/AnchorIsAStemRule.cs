using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>The anchor is one of the stems.</summary>
internal static class AnchorIsAStemRule
{
    public static void Check(GraphDocument document, GraphNames names, DiagnosticList diagnostics)
    {
        if (document.Anchor is not { Stem: { Value.Length: > 0 } stem } || names.IsStem(stem.Value))
            return;
        var isNode = names.IsKnown(stem.Value);
        if (!isNode && names.IsWritten(stem.Value))
            return;
        var stems = document.Stems.Select(entry => entry.Id).ToList();
        diagnostics.Add(new(
            DiagnosticCode.UnknownName, document.File, stem.At,
            isNode ? $"the anchor names \"{stem.Value}\", which is a node, but it must be a stem" : $"the anchor names \"{Shown.Short(stem.Value)}\", but no stem has that name",
            NearestName.Of(stem.Value, stems) is { } near ? $"Did you mean \"{near}\"?"
            : stems.Count > 0 ? $"Write one of the stems: {Shown.Few(stems)}" : "Add a stem, and write its name here"));
    }
}
