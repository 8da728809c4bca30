namespace RenderGraph.Graph.Contracts;

/// <summary>Where a signal goes into a node.</summary>
/// <param name="Name">The key in the graph: <c>in</c>, <c>key</c>.</param>
/// <param name="Kind">What the signal is for.</param>
/// <param name="IsMany">Takes a list of signals, each with a gain of its own. Only a type's last port may.</param>
public sealed record Port(string Name, PortKind Kind, bool IsMany = false)
{
    /// <summary>The signal to treat.</summary>
    public static Port Input { get; } = new("in", PortKind.Heard);

    /// <summary>Signals to be summed.</summary>
    public static Port Inputs { get; } = new("in", PortKind.Heard, IsMany: true);

    /// <summary>The signal that steers: the anchor's stem unless the graph names another.</summary>
    public static Port Key { get; } = new("key", PortKind.Key);
}

/// <summary>What a signal is for.</summary>
public enum PortKind
{
    /// <summary>It will be heard: a muted stem is silent here.</summary>
    Heard,

    /// <summary>It only steers: a muted stem is still itself here. Left out, it is the anchor.</summary>
    Key,
}
