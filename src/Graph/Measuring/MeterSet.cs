using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Measuring;

/// <summary>The meters that take some measures of one signal: each of them once, however many measures it takes.</summary>
public sealed class MeterSet
{
    private readonly List<IMeter> _meters;

    /// <param name="measures">Names of the catalog; all of meters that need nothing but the one signal.</param>
    public MeterSet(MeterCatalog catalog, IEnumerable<string> measures)
    {
        var wanted = measures.ToHashSet(StringComparer.Ordinal);
        _meters = [.. catalog.Types.Where(type => type.Measures.Any(measure => wanted.Contains(measure.Name))).Select(type => type.Create(wanted))];
    }

    /// <inheritdoc cref="IMeter.Prepare"/>
    public void Prepare(MeterFormat format) => _meters.ForEach(meter => meter.Prepare(format));

    /// <inheritdoc cref="IMeter.Hear"/>
    public void Hear(Signal heard)
    {
        foreach (var meter in _meters)
            meter.Hear([heard]);
    }

    /// <summary>One entry for each measure asked for, in the order of the catalog.</summary>
    public IReadOnlyList<Measurement> Conclude() => [.. _meters.SelectMany(meter => meter.Conclude())];
}
