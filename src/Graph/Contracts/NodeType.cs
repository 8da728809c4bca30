using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Contracts;

/// <summary>A kind of node: what a graph may name.</summary>
public sealed class NodeType
{
    private readonly Func<IParameterSource, INode>? _create;
    private readonly bool _isLevel;

    private NodeType(string name, int version, string about, IReadOnlyList<Port> ports, Func<IParameterSource, INode>? create, bool isLevel = false)
    {
        (Name, Version, About, Ports, _create, _isLevel) = (name, version, about, ports, create, isLevel);
    }

    /// <summary>
    /// A list of steps in one place. Graph knows this one type because it is structure, not sound: the planner puts its steps in a row,
    /// each as a node of its own named <c>id.1</c>, <c>id.2</c> and so on.
    /// </summary>
    public static NodeType Chain { get; } = new(
        "chain", 1, "A list of steps in one place, from first to last: a stem's treatment reads top to bottom. Step 2 of \"grit\" is named grit.2.",
        [Port.Input], null);

    /// <summary>The word in the graph, camelCase.</summary>
    public string Name { get; }

    /// <summary>Goes up by one whenever the same parameters give other bytes.</summary>
    public int Version { get; }

    /// <summary>What it does, in a sentence or two for the person with the stems.</summary>
    public string About { get; }

    /// <summary>Its inputs in order. The first is the signal it treats.</summary>
    public IReadOnlyList<Port> Ports { get; }

    /// <summary>Whether its signal is measured without being asked to be.</summary>
    public bool IsMeter { get; private init; }

    /// <summary>Whether, behind the last sum, it is how a song is listened to and no treatment of it: a level, say, or a low-pass. The untreated song is then heard through it too.</summary>
    public bool IsMonitoring { get; private init; }

    /// <summary>Whether it adds up any number of signals.</summary>
    public bool IsSum => Ports[^1] is { IsMany: true, Kind: PortKind.Heard };

    /// <summary>Whether it does nothing but add up what it takes and set its level: what it gives of several signals is then the sum of what it would give of each.</summary>
    public bool IsLevel => IsSum || _isLevel;

    /// <summary>Measures that say what it is there for. A graph that cares for one of them has all of them taken before and after such a node.</summary>
    public IReadOnlyList<string> ComparedBy { get; private init; } = [];

    /// <summary>Whether this is <see cref="Chain"/>.</summary>
    public bool IsChain => _create is null;

    /// <summary>Defines a type: how its parameters are read, and how a node is made from them.</summary>
    /// <param name="isMonitoring">As <see cref="IsMonitoring"/>.</param>
    /// <param name="comparedBy">As <see cref="ComparedBy"/>; left out, nothing.</param>
    public static NodeType Define<TParameters>(
        string name, int version, string about, IReadOnlyList<Port> ports,
        Func<IParameterSource, TParameters> read, Func<TParameters, INode> create, bool isMonitoring = false, IReadOnlyList<string>? comparedBy = null) =>
        new(name, version, about, ports, source => create(read(source))) { IsMonitoring = isMonitoring, ComparedBy = comparedBy ?? [] };

    /// <summary>Defines a type that sets a level and does nothing else.</summary>
    public static NodeType Level<TParameters>(
        string name, int version, string about, Func<IParameterSource, TParameters> read, Func<TParameters, INode> create) =>
        new(name, version, about, [Port.Input], source => create(read(source)), isLevel: true) { IsMonitoring = true };

    /// <summary>Defines a type that passes its one signal on and has no parameters: it is there to be measured.</summary>
    public static NodeType Meter(string name, int version, string about, Func<INode> create) =>
        new(name, version, about, [Port.Input], _ => create(), isLevel: true) { IsMeter = true };

    /// <summary>Reads the parameters and makes a node. Faults are noted by the source; the node is then not to be used.</summary>
    public INode Create(IParameterSource source) =>
        _create is null ? throw new InvalidOperationException("A chain is planned as its steps.") : _create(source);
}
