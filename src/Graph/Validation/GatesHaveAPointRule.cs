using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>What a gate is about is there.</summary>
internal static class GatesHaveAPointRule
{
    public static void Check(GraphDocument document, GraphNames names, DiagnosticList diagnostics)
    {
        foreach (var gate in document.Expectations.Where(gate => gate.Kind == PointKind.Signal && !names.IsWritten(gate.Of.Value) && !document.HasFaultyOutputs))
        {
            var known = document.Outputs.Select(output => output.Id).Concat(names.All).Distinct().ToList();
            diagnostics.Add(new(
                DiagnosticCode.UnknownName, document.File, gate.Of.At, $"a gate is about \"{Shown.Short(gate.Of.Value)}\", but no output, stem, node or step has that name",
                NearestName.Of(gate.Of.Value, known) is { } near ? $"Did you mean \"{near}\"?" : $"Write one of the names that there are: {Shown.Few(known)}"));
        }
    }
}
