using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>Every name that a signal can be taken from.</summary>
internal sealed class GraphNames
{
    private readonly GraphDocument _document;
    private readonly HashSet<string> _stems;
    private readonly Dictionary<string, NodeEntry> _nodes = new(StringComparer.Ordinal);

    public GraphNames(GraphDocument document)
    {
        _document = document;
        _stems = document.Stems.Select(stem => stem.Id).ToHashSet(StringComparer.Ordinal);
        foreach (var node in document.NodesAndSteps)
            _nodes.TryAdd(node.Id, node);
    }

    /// <summary>All of them: stems, nodes and steps, those at fault among them.</summary>
    public IEnumerable<string> All => _stems.Concat(_nodes.Keys).Concat(_document.LeftOut).Distinct();

    public bool IsStem(string name) => _stems.Contains(name);

    public bool IsKnown(string name) => _stems.Contains(name) || _nodes.ContainsKey(name);

    /// <summary>Whether the name stands in the text, though a fault may have kept its owner out of the document.</summary>
    public bool IsWritten(string name) =>
        IsKnown(name) || !_document.HasAllNames || _document.LeftOut.Contains(name)
        || (name.LastIndexOf('.') is var stop and > 0 && _document.LeftOut.Contains(name[..stop]));

    /// <summary>Of a chain its last step, which gives what the chain gives; of all else itself.</summary>
    public string Giver(string name) => _nodes.TryGetValue(name, out var node) && node.Steps.Count > 0 ? node.Steps[^1].Id : name;
}
