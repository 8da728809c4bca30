namespace RenderGraph.Graph.Contracts;

/// <summary>The measures that a graph may ask for.</summary>
public sealed class MeterCatalog
{
    private readonly Dictionary<string, MeterType> _meters = new(StringComparer.Ordinal);

    /// <summary>A catalog of these meters.</summary>
    /// <exception cref="ArgumentException">Two measures have one name.</exception>
    public MeterCatalog(IReadOnlyList<MeterType> types)
    {
        Types = types;
        foreach (var type in types)
        {
            foreach (var measure in type.Measures)
                _meters.Add(measure.Name, type);
        }
    }

    /// <summary>All meters, in the order in which their measures are shown.</summary>
    public IReadOnlyList<MeterType> Types { get; }

    /// <summary>The names of all measures.</summary>
    public IEnumerable<string> Names => Types.SelectMany(type => type.Measures).Select(measure => measure.Name);

    /// <summary>What <c>"measure": true</c> asks for: the names of those that need nothing but the signal that is measured, and cost little.</summary>
    public IEnumerable<string> UsualNames =>
        Types.Where(type => type.IsUsual).SelectMany(type => type.Measures).Select(measure => measure.Name);

    /// <summary>The meter that takes a measure, or null.</summary>
    public MeterType? MeterOf(string measure) => _meters.GetValueOrDefault(measure);
}
