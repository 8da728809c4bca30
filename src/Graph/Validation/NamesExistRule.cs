using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>Whatever a node or an output takes from is there.</summary>
internal static class NamesExistRule
{
    public static void Check(GraphDocument document, GraphNames names, DiagnosticList diagnostics)
    {
        foreach (var node in document.NodesAndSteps)
        {
            // A key left out stands where the anchor names its stem; that place has a rule of its own.
            foreach (var input in node.Inputs.OfType<Connection>().Where(input => input.At != document.Anchor?.Stem.At))
                Check(document, names, node.Subject, node.Id, new(input.From, input.At), diagnostics);
        }

        foreach (var output in document.Outputs)
            Check(document, names, $"output \"{output.Id}\"", "", output.From, diagnostics);
    }

    private static void Check(GraphDocument document, GraphNames names, string subject, string self, Located<string> from, DiagnosticList diagnostics)
    {
        if (names.IsWritten(from.Value))
            return;
        var asOutput = document.Outputs.FirstOrDefault(output => output.Id == from.Value);
        var others = names.All.Where(name => name != self && !name.StartsWith(self + ".", StringComparison.Ordinal));
        var near = NearestName.Of(from.Value, others);
        var remedy = (asOutput, near) switch
        {
            ({ From.Value: var source }, _) when names.IsKnown(source) => $"That is an output; what it writes is \"{source}\", so write \"{source}\" here",
            (_, { } name) => $"Did you mean \"{name}\"?",
            _ => $"Write one of the names that there are: {Shown.Few(others)}",
        };
        diagnostics.Add(new(
            DiagnosticCode.UnknownName, document.File, from.At, $"{subject} takes from \"{Shown.Short(from.Value)}\", but no stem, node or step has that name", remedy));
    }
}
