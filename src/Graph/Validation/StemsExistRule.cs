using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>A graph has at least one stem.</summary>
internal static class StemsExistRule
{
    public static void Check(GraphDocument document, DiagnosticList diagnostics)
    {
        if (document.Stems.Count == 0 && document.LeftOut.Count == 0 && document.HasAllNames)
        {
            diagnostics.Add(new(
                DiagnosticCode.MissingKey, document.File, document.At, "the graph has no stems, but it needs at least one to render anything",
                "Add \"stems\": { \"kick\": { \"file\": \"kick.wav\" } }"));
        }
    }
}
