using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Document;

/// <summary>Nodes whose effect somebody wants to know: those that say what measures they are there for, in a graph that asks for one of these anywhere.</summary>
public static class ComparedNodes
{
    /// <summary>The nodes at work, each with the name of what goes into it.</summary>
    public static IEnumerable<(NodeEntry Node, string Before)> Of(GraphDocument document, NodeCatalog catalog)
    {
        var asked = document.Measured.SelectMany(point => point.Measures)
            .Concat(document.Outputs.SelectMany(output => output.Treatments).SelectMany(asks => catalog.Treatments.Where(treatment => treatment.Type == asks.Type)).SelectMany(treatment => treatment.CaresFor))
            .ToHashSet(StringComparer.Ordinal);
        var paths = new GraphPaths(document);
        return
            from node in paths.Nodes
            where !node.Bypass && node.Type.ComparedBy.Any(asked.Contains)
            let before = paths.HeardBy(node).FirstOrDefault() ?? ""
            where paths.Stem(before) is not null || paths.Node(before) is not null
            select (node, before);
    }

    /// <summary>The graph with what such nodes take and give measured, whatever else is.</summary>
    internal static GraphDocument Measured(GraphDocument document, NodeCatalog catalog)
    {
        var points = document.Measured.ToList();
        foreach (var (node, before) in Of(document, catalog).ToList())
        {
            Add(before, node);
            Add(node.Id, node);
        }

        return document with { Measured = points };

        void Add(string name, NodeEntry node)
        {
            var place = points.FindIndex(point => point is { Kind: PointKind.Signal, During: null, IsUntreated: false } && point.Name == name);
            var point = MeasuredPoint.Of(PointKind.Signal, name, node.At, catalog.Meters, node.Type.ComparedBy.Concat(place < 0 ? [] : points[place].Measures));
            if (place < 0)
                points.Add(point);
            else
                points[place] = point with { At = points[place].At };
        }
    }
}
