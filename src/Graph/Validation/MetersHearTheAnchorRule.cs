using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>A measure that hears the anchor is only asked for in a graph that has one.</summary>
internal static class MetersHearTheAnchorRule
{
    public static void Check(GraphDocument document, DiagnosticList diagnostics)
    {
        if (document.Anchor is not null)
            return;
        foreach (var point in document.Measured)
        {
            foreach (var measure in point.Meters.Where(meter => point.AtHits || meter.NeedsAnchor).SelectMany(meter => meter.Measures).Where(measure => point.Measures.Contains(measure.Name)))
            {
                diagnostics.Add(new(
                    DiagnosticCode.MissingAnchor, document.File, point.At, $"{measure.Name} of {point.Subject} is measured against the anchor, and the graph has none",
                    "Add an anchor to the graph, or ask for another measure"));
            }
        }
    }
}
