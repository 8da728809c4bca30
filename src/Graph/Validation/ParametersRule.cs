using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Validation;

/// <summary>Every node gets what it asks for, within bounds, and nothing that it does not ask for.</summary>
internal static class ParametersRule
{
    public static void Check(GraphDocument document, int? sampleRateHz, DiagnosticList diagnostics)
    {
        foreach (var node in document.NodesAndSteps.Where(node => !node.Type.IsChain).Concat(document.Outputs.SelectMany(output => output.Treatments)))
        {
            var parameters = new DocumentParameters(node, document, sampleRateHz, diagnostics);
            node.Type.Create(parameters);
            parameters.ReportKeys();
        }
    }
}
