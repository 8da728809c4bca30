using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>Every stem and node reaches an output, heard or as a key, or is measured. Only asked of a graph that is whole and whose names are all known, and only a warning.</summary>
internal static class NothingUnusedRule
{
    public static void Check(GraphDocument document, GraphNames names, DiagnosticList diagnostics)
    {
        var givers = new Dictionary<string, List<string>>(StringComparer.Ordinal);
        foreach (var node in document.Nodes)
            givers[node.Id] = [.. node.Steps.Prepend(node).SelectMany(part => part.Inputs).OfType<Connection>().Select(input => Owner(input.From))];
        var wanted = document.Outputs.Select(output => output.From.Value)
            .Concat(document.Measured.Where(point => point.Kind == PointKind.Signal).Select(point => point.Name)).Select(Owner).ToList();
        var hasGap = document.NodesAndSteps.Any(node => node.Inputs.Count < node.Type.Ports.Count || node.Inputs.Skip(node.IsStep ? 1 : 0).Contains(null));
        if (!document.IsWhole || hasGap || wanted.Count == 0 || !givers.Values.SelectMany(list => list).Concat(wanted).All(names.IsKnown))
            return;

        var reached = new HashSet<string>(StringComparer.Ordinal);
        var waiting = new Stack<string>(wanted);
        while (waiting.TryPop(out var name))
        {
            if (!reached.Add(name))
                continue;
            foreach (var giver in givers.GetValueOrDefault(name, []))
                waiting.Push(giver);
        }

        foreach (var stem in document.Stems.Where(stem => !reached.Contains(stem.Id)))
            Report("stem", stem.Id, stem.At);
        foreach (var node in document.Nodes.Where(node => !reached.Contains(node.Id)))
            Report("node", node.Id, node.At);

        void Report(string kind, string id, TextPosition at) => diagnostics.Add(new(
            DiagnosticCode.Unused, document.File, at, $"{kind} \"{id}\" reaches no output, so nobody will hear it",
            "Take from it in a node or an output, or remove it", Severity.Warning));

        string Owner(string name) => names.IsStem(name) ? name : name.Split('.')[0];
    }
}
