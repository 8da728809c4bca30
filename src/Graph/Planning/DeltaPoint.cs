using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Planning;

/// <summary>
/// What an output of kind <see cref="OutputKind.Delta"/> holds: the signal before less the signal after. Of a node, a step or a chain that is what it takes in less what it gives. Of a mix, and of what it is listened
/// through, the untreated song less the treated one there.
/// </summary>
/// <param name="Before">The name of the signal before; null for the untreated song.</param>
/// <param name="After">The name of the signal after.</param>
public sealed record DeltaPoint(string? Before, string After)
{
    /// <summary>What an output asks for; null if nothing happens there: it is a stem.</summary>
    public static DeltaPoint? Of(GraphDocument document, OutputEntry output) => Of(new GraphPaths(document), output.From.Value);

    internal static DeltaPoint? Of(GraphPaths paths, string name)
    {
        if (paths.Node(name) is not { } node)
            return null;
        if (IsThrough(paths, node) && HasSum(paths, name))
            return new(null, name);
        return (node.Type.IsChain ? (node.Inputs is [{ } input, ..] ? input.From : null) : paths.HeardBy(node).FirstOrDefault()) is { } before ? new(before, name) : null;
    }

    /// <summary>Whether it treats nothing behind a mix, but is a sum, a level, or a way to listen.</summary>
    private static bool IsThrough(GraphPaths paths, NodeEntry node) => node.Type.IsChain
        ? node.Steps.All(step => IsThrough(paths, step))
        : node.Type.IsSum || node.Type.IsLevel || node.Type.IsMonitoring;

    private static bool HasSum(GraphPaths paths, string name)
    {
        var seen = new HashSet<string>(StringComparer.Ordinal);
        for (var at = paths.Giver(name); seen.Add(at) && paths.Node(at) is { } node; at = paths.HeardBy(node).FirstOrDefault() ?? "")
        {
            if (node.Type.IsSum)
                return true;
        }

        return false;
    }
}
