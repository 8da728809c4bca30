using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Graph.Validation;

/// <summary>An output of kind stems has a mix that its files can add up to, and nothing that would keep them from it.</summary>
internal static class StemsAddUpRule
{
    public static void Check(GraphDocument document, GraphNames names, DiagnosticList diagnostics)
    {
        foreach (var output in document.Outputs.Where(output => output.Kind == OutputKind.Stems))
        {
            if (StemParts.Of(document, output) is null && document.IsWhole && names.IsKnown(output.From.Value))
            {
                Report(
                    output.From.At, $"output \"{output.Id}\" is of kind stems, but behind \"{Shown.Short(output.From.Value)}\" there is no mix whose parts it could write",
                    "Name a mix, or what follows one, or leave out the kind");
            }

            foreach (var treatment in output.Treatments.Where(treatment => treatment != output.Level))
            {
                Report(
                    treatment.At, $"output \"{output.Id}\" is of kind stems and has {treatment.Body.Members[0].Name}, which would treat each file by itself, so that they no longer add up to the mix",
                    "Remove it here; the mix itself may have an output with it");
            }
        }

        void Report(TextPosition at, string sentence, string remedy) => diagnostics.Add(new(DiagnosticCode.Contradiction, document.File, at, sentence, remedy));
    }
}
