using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Graph.Validation;

/// <summary>What a gate is about is there.</summary>
internal static class GatesHaveAPointRule
{
    public static void Check(GraphDocument document, GraphNames names, DiagnosticList diagnostics)
    {
        foreach (var gate in document.Expectations.Where(gate => gate.Kind == PointKind.Output))
        {
            var output = document.Outputs.First(output => output.Owns(gate.Of.Value));
            if (output.Kind != OutputKind.Stems || StemParts.Of(document, output)?.Names.Select(part => StemParts.FileName(output, part)).ToList() is not { } files || (files.Contains(gate.Of.Value) && !gate.IsAgainstUntreated))
                continue;
            if (files.Contains(gate.Of.Value))
            {
                diagnostics.Add(new(
                    DiagnosticCode.Contradiction, document.File, gate.Of.At, $"a gate is about \"{gate.Of.Value}\" against the untreated song, but one file of output \"{output.Id}\" has no counterpart there",
                    "Let it be about the mix, or about the node that treats this part"));
                continue;
            }

            diagnostics.Add(new(
                DiagnosticCode.UnknownName, document.File, gate.Of.At, $"a gate is about \"{Shown.Short(gate.Of.Value)}\", but output \"{output.Id}\" is several files, and none is called that",
                gate.Of.Value != output.Id && NearestName.Of(gate.Of.Value, files) is { } near ? $"Did you mean \"{near}\"?" : $"Name one of them: {Shown.Few(files)}"));
        }

        foreach (var gate in document.Expectations.Where(gate => gate.Kind == PointKind.Signal && !names.IsWritten(gate.Of.Value) && !document.HasFaultyOutputs))
        {
            var known = document.Outputs.Select(output => output.Id).Concat(names.All).Distinct().ToList();
            diagnostics.Add(new(
                DiagnosticCode.UnknownName, document.File, gate.Of.At, $"a gate is about \"{Shown.Short(gate.Of.Value)}\", but no output, stem, node or step has that name",
                NearestName.Of(gate.Of.Value, known) is { } near ? $"Did you mean \"{near}\"?" : $"Write one of the names that there are: {Shown.Few(known)}"));
        }
    }
}
