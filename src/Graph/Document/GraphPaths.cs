using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Document;

/// <summary>Who takes from whom, chains opened and bypasses applied. Of a document with faults it tells what there is to tell.</summary>
public sealed class GraphPaths
{
    private readonly Dictionary<string, StemEntry> _stems = new(StringComparer.Ordinal);
    private readonly Dictionary<string, NodeEntry> _nodes = new(StringComparer.Ordinal);
    private readonly Dictionary<string, string> _stepBefore = new(StringComparer.Ordinal);
    private readonly AnchorEntry? _anchor;

    /// <summary>The paths of a graph.</summary>
    public GraphPaths(GraphDocument document)
    {
        _anchor = document.Anchor;
        foreach (var stem in document.Stems)
            _stems.TryAdd(stem.Id, stem);
        foreach (var node in document.Nodes)
        {
            _nodes.TryAdd(node.Id, node);
            var before = node.Type.IsChain && node.Inputs is [{ } input, ..] ? input.From : "";
            foreach (var step in node.Steps)
            {
                _nodes.TryAdd(step.Id, node.Bypass ? step with { Bypass = true } : step);
                _stepBefore.TryAdd(step.Id, before);
                before = step.Id;
            }
        }
    }

    /// <summary>Every node and step.</summary>
    public IEnumerable<NodeEntry> Nodes => _nodes.Values;

    /// <summary>The stem of that name, or null.</summary>
    public StemEntry? Stem(string id) => _stems.GetValueOrDefault(id);

    /// <summary>The node or step of that name, or null. A step of a bypassed chain is bypassed.</summary>
    public NodeEntry? Node(string id) => _nodes.GetValueOrDefault(id);

    /// <summary>What a chain gives, another node or a stem gives: of a chain its last step, of all else itself.</summary>
    public string Giver(string id) => Node(id) is { Type.IsChain: true } chain ? LastOf(chain) : id;

    /// <summary>The last step of a chain.</summary>
    public static string LastOf(NodeEntry chain) => chain.Steps.Count > 0 ? chain.Steps[^1].Id : chain.Inputs is [{ } input, ..] ? input.From : "";

    /// <summary>What a node takes. A bypassed one takes no key, since it steers nothing, and several signals as they are.</summary>
    public IEnumerable<(string From, double GainDb, bool IsKey)> ConnectionsOf(NodeEntry entry)
    {
        var ports = entry.Type.Ports;
        return entry.Inputs
            .Select((input, index) => (
                From: input?.From ?? _stepBefore.GetValueOrDefault(entry.Id, ""),
                GainDb: entry.Bypass ? 0 : input?.GainDb ?? 0,
                IsKey: ports[Math.Min(index, ports.Count - 1)].Kind == PortKind.Key))
            .Where(connection => !(connection.IsKey && entry.Bypass));
    }

    /// <summary>The names of the signals that a node treats: all that it takes but keys.</summary>
    public IEnumerable<string> HeardBy(NodeEntry entry) => ConnectionsOf(entry).Where(connection => !connection.IsKey).Select(connection => Giver(connection.From));

    /// <summary>The stems that are heard at a point, in the order of the graph.</summary>
    public IReadOnlyList<StemEntry> StemsBehind(string id)
    {
        var seen = new HashSet<string>(StringComparer.Ordinal);
        var open = new Stack<string>([Giver(id)]);
        while (open.TryPop(out var at))
        {
            if (!seen.Add(at) || Node(at) is not { } node)
                continue;
            foreach (var from in HeardBy(node))
                open.Push(from);
        }

        return [.. _stems.Values.Where(stem => seen.Contains(stem.Id))];
    }

    /// <summary>The names of everything that steers something, the anchor's stem always among them.</summary>
    public IReadOnlySet<string> Steering()
    {
        var found = new HashSet<string>(StringComparer.Ordinal);
        var open = new Stack<string>(_nodes.Values.Where(entry => !entry.Type.IsChain).SelectMany(ConnectionsOf).Where(connection => connection.IsKey).Select(connection => connection.From));
        if (_anchor is not null)
            open.Push(_anchor.Stem.Value);
        while (open.TryPop(out var id))
        {
            if (!found.Add(id) || Node(id) is not { } node)
                continue;
            foreach (var from in node.Type.IsChain ? [LastOf(node)] : ConnectionsOf(node).Select(connection => connection.From))
                open.Push(from);
        }

        return found;
    }
}
