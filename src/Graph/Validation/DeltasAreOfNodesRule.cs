using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Graph.Validation;

/// <summary>An output of kind delta names something that can take away: no stem.</summary>
internal static class DeltasAreOfNodesRule
{
    public static void Check(GraphDocument document, GraphNames names, DiagnosticList diagnostics)
    {
        foreach (var output in document.Outputs.Where(output => output.Kind == OutputKind.Delta && names.IsStem(output.From.Value)))
        {
            diagnostics.Add(new(
                DiagnosticCode.Contradiction, document.File, output.From.At,
                $"output \"{output.Id}\" is of kind delta, but nothing is taken away from stem \"{Shown.Short(output.From.Value)}\" before it is read", "Name the node that treats it, or the mix"));
        }

        foreach (var gate in document.Expectations.Where(gate => gate.IsAgainstUntreated && document.Outputs.FirstOrDefault(output => output.Owns(gate.Of.Value)) is { Kind: OutputKind.Delta }))
        {
            diagnostics.Add(new(
                DiagnosticCode.Contradiction, document.File, gate.Of.At, $"a gate is about \"{gate.Of.Value}\" against the untreated song, but that output is of kind delta, what was taken away from it",
                "Let the gate be about what is left, or leave out against"));
        }
    }
}
