using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>A graph has at least one output.</summary>
internal static class OutputsExistRule
{
    public static void Check(GraphDocument document, DiagnosticList diagnostics)
    {
        if (document.Outputs.Count == 0 && !document.HasFaultyOutputs)
        {
            diagnostics.Add(new(
                DiagnosticCode.MissingKey, document.File, document.At, "the graph has no outputs, but it needs at least one to write anything",
                "Add \"outputs\": { \"mix\": { \"in\": \"mix\", \"file\": \"mix.wav\" } }"));
        }
    }
}
