namespace RenderGraph.Graph.Contracts;

/// <summary>The node types that a graph may name, <see cref="NodeType.Chain"/> always among them.</summary>
public sealed class NodeCatalog
{
    private readonly SortedDictionary<string, NodeType> _types = new(StringComparer.Ordinal);

    /// <summary>A catalog of these types.</summary>
    /// <param name="meters">The measures that a graph may ask for; left out, none.</param>
    /// <param name="treatments">What outputs may ask for, in the order of work; left out, nothing.</param>
    /// <exception cref="ArgumentException">Two types have one name.</exception>
    public NodeCatalog(IEnumerable<NodeType> types, MeterCatalog? meters = null, IReadOnlyList<OutputTreatment>? treatments = null)
    {
        (Meters, Treatments) = (meters ?? new([]), treatments ?? []);
        foreach (var type in types.Append(NodeType.Chain))
            _types.Add(type.Name, type);
    }

    /// <summary>The measures that a graph may ask for.</summary>
    public MeterCatalog Meters { get; }

    /// <summary>What outputs may ask for, in the order of work.</summary>
    public IReadOnlyList<OutputTreatment> Treatments { get; }

    /// <summary>All types, by name.</summary>
    public IReadOnlyCollection<NodeType> Types => _types.Values;

    /// <summary>The type of that name, or null.</summary>
    public NodeType? Find(string name) => _types.GetValueOrDefault(name);
}
