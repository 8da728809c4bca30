namespace RenderGraph.Graph.Contracts;

/// <summary>A kind of meter: which measures it takes, of what, and how one is made.</summary>
/// <param name="Name">For help and messages, camelCase.</param>
/// <param name="Ports">What it hears; the first is always <see cref="MeterPort.Measured"/>.</param>
/// <param name="Measures">What may be asked of it, in the order in which it answers.</param>
/// <param name="Create">Makes a meter that takes some of its measures and spares the work for all others.</param>
public sealed record MeterType(
    string Name, IReadOnlyList<MeterPort> Ports, IReadOnlyList<MeasureType> Measures, Func<IReadOnlySet<string>, IMeter> Create);

/// <summary>A number that can be asked for by its name.</summary>
/// <param name="Name">camelCase, the unit at its end: <c>truePeakDbtp</c>.</param>
/// <param name="About">What it says and by which rule, in a sentence.</param>
public sealed record MeasureType(string Name, string About);

/// <summary>What a meter hears.</summary>
public enum MeterPort
{
    /// <summary>The signal that is measured.</summary>
    Measured,

    /// <summary>The anchor's stem, as it keys: itself even if it is muted.</summary>
    Anchor,
}
