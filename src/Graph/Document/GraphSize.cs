using RenderGraph.Graph.Diagnostics;
using static System.FormattableString;

namespace RenderGraph.Graph.Document;

/// <summary>How large a graph may be: far more than any song needs, and little enough for every rule to be held against it in seconds.</summary>
internal static class GraphSize
{
    /// <summary>Nodes and steps together.</summary>
    public const int MostNodes = 10_000;

    /// <summary>Each is an open file.</summary>
    public const int MostStems = 1_000;

    /// <summary>Each is an open file.</summary>
    public const int MostOutputs = 1_000;

    /// <summary>Signals in one list.</summary>
    public const int MostInputs = 10_000;

    /// <summary>Whether a graph is within the limits; if not, that is noted, and nothing else is worth telling.</summary>
    public static bool Check(ObjectReader graph, JsonObject root)
    {
        var nodes = Members(root, "nodes");
        if (nodes.FirstOrDefault(node => Items(node, "in").Count > MostInputs) is { } widest)
        {
            graph.Report(
                DiagnosticCode.TooLarge, widest.At, Invariant($"node \"{Shown.Short(widest.Name)}\" takes {Items(widest, "in").Count:N0} signals, but a list may have {MostInputs:N0}"),
                "Mix them in groups, and the groups in one more mix");
            return false;
        }

        return IsWithin("nodes and steps", nodes.Sum(node => 1L + Items(node, "steps").Count), MostNodes)
            & IsWithin("stems", Members(root, "stems").Count, MostStems)
            & IsWithin("outputs", Members(root, "outputs").Count, MostOutputs);

        bool IsWithin(string what, long count, int most)
        {
            if (count <= most)
                return true;
            graph.Report(
                DiagnosticCode.TooLarge, root.At, Invariant($"the graph has {count:N0} {what}, but there may be {most:N0}"),
                "Render it as several graphs, one of which takes what the others wrote");
            return false;
        }
    }

    private static IReadOnlyList<JsonMember> Members(JsonObject root, string name) => root.Find(name)?.Value is JsonObject section ? section.Members : [];

    private static IReadOnlyList<JsonValue> Items(JsonMember node, string name) => (node.Value as JsonObject)?.Find(name)?.Value is JsonArray list ? list.Items : [];
}
