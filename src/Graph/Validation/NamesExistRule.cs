using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>Whatever a node or an output takes from is there.</summary>
internal static class NamesExistRule
{
    /// <summary>For so many unknown names the nearest is looked for; past that the fault is no slip of the fingers, and the search would take for ever.</summary>
    private const int SearchLimit = 20;

    public static void Check(GraphDocument document, GraphNames names, DiagnosticList diagnostics)
    {
        var told = 0;
        foreach (var node in document.NodesAndSteps)
        {
            // A key left out stands where the anchor names its stem; that place has a rule of its own.
            foreach (var input in node.Inputs.OfType<Connection>().Where(input => input.At != document.Anchor?.Stem.At))
                Check(node.Subject, node.Id, new(input.From, input.At));
        }

        foreach (var output in document.Outputs)
            Check($"output \"{output.Id}\"", "", output.From);

        void Check(string subject, string self, Located<string> from)
        {
            if (names.IsWritten(from.Value))
                return;
            diagnostics.Add(new(
                DiagnosticCode.UnknownName, document.File, from.At, $"{subject} takes from \"{Shown.Short(from.Value)}\", but no stem, node or step has that name",
                told++ < SearchLimit ? Remedy(document, names, self, from.Value) : "Write the name of a stem, a node or a step"));
        }
    }

    private static string Remedy(GraphDocument document, GraphNames names, string self, string written)
    {
        if (document.Outputs.FirstOrDefault(output => output.Id == written)?.From.Value is { } source && names.IsKnown(source))
            return $"That is an output; what it writes is \"{source}\", so write \"{source}\" here";
        var others = names.All.Where(name => name != self && !name.StartsWith(self + ".", StringComparison.Ordinal)).ToList();
        if (NearestName.Of(written, others) is { } near)
            return $"Did you mean \"{near}\"?";
        return others.Count > 0 ? $"Write one of the names that there are: {Shown.Few(others)}" : "Add a stem, and write its name here";
    }
}
