using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>An output that takes over the gain of another names one whose level is set.</summary>
internal static class GainOfRule
{
    public static void Check(GraphDocument document, DiagnosticList diagnostics)
    {
        foreach (var output in document.Outputs)
        {
            if (output.GainOf is not { } of)
                continue;
            if (output.Level is not null)
                Report($"output \"{output.Id}\" has a level of its own", "Remove one of the two");
            else if (document.Outputs.FirstOrDefault(other => other.Id == of.Value) is not { } other)
                ReportUnknown();
            else if (other.Level is null)
                Report($"output \"{other.Id}\" is written at the level that the graph gives it", $"Give that one a loudness, or remove gainOf");

            void ReportUnknown()
            {
                if (document.HasFaultyOutputs)
                    return;
                var levelled = document.Outputs.Where(other => other.Level is not null).Select(other => other.Id).ToList();
                diagnostics.Add(new(
                    DiagnosticCode.UnknownName, document.File, of.At, $"output \"{output.Id}\" asks for gainOf \"{Shown.Short(of.Value)}\", but no output has that name",
                    NearestName.Of(of.Value, levelled) is { } near ? $"Did you mean \"{near}\"?"
                    : levelled.Count > 0 ? $"Write one of {Shown.Few(levelled)}" : "Name an output that has a loudness"));
            }

            void Report(string sentence, string remedy) => diagnostics.Add(new(
                DiagnosticCode.Contradiction, document.File, of.At, $"output \"{output.Id}\" asks for gainOf \"{Shown.Short(of.Value)}\", but {sentence}", remedy));
        }
    }
}
