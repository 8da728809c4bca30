using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Measuring;

/// <summary>The meters of one point: each of them once, however many measures it takes.</summary>
public sealed class MeterSet
{
    private readonly List<Place> _places;

    /// <param name="types">The meters.</param>
    /// <param name="measures">The names of the measures wanted of them.</param>
    /// <param name="atHits">Whether only the anchor's hits count; every measure then has a meaning there.</param>
    public MeterSet(IReadOnlyList<MeterType> types, IReadOnlySet<string> measures, bool atHits = false)
    {
        Ports = PortsOf(types);
        _places = [.. types.Select(type => new Place((atHits ? type.CreateAtHits ?? type.Create : type.Create)(measures), [.. type.Ports.Select(port => Ports.IndexOf(port))], new Signal[type.Ports.Count]))];
    }

    /// <summary>The meters of what <c>"measure": true</c> asks for.</summary>
    public static MeterSet Usual(MeterCatalog catalog) => new(
        [.. catalog.Types.Where(type => type.IsUsual)], catalog.UsualNames.ToHashSet(StringComparer.Ordinal));

    /// <summary>What all of these meters together hear, the measured signal first.</summary>
    public static List<MeterPort> PortsOf(IReadOnlyList<MeterType> types) => [.. types.SelectMany(type => type.Ports).Prepend(MeterPort.Measured).Distinct()];

    /// <summary>What they hear.</summary>
    public List<MeterPort> Ports { get; }

    /// <summary>As <see cref="IMeter.Prepare"/>; the channels of each of <see cref="Ports"/>.</summary>
    public void Prepare(MeterFormat format)
    {
        foreach (var place in _places)
            place.Meter.Prepare(format with { Channels = [.. place.Ports.Select(port => format.Channels[port])] });
    }

    /// <summary>As <see cref="IMeter.Hear"/>; one signal for each of <see cref="Ports"/>.</summary>
    public void Hear(ReadOnlySpan<Signal> heard)
    {
        foreach (var place in _places)
        {
            for (var index = 0; index < place.Ports.Length; index++)
                place.Heard[index] = heard[place.Ports[index]];
            place.Meter.Hear(place.Heard);
        }
    }

    /// <summary>One entry for each measure asked for, in the order of the meters.</summary>
    public IReadOnlyList<Measurement> Conclude() => [.. _places.SelectMany(place => place.Meter.Conclude())];

    private sealed record Place(IMeter Meter, int[] Ports, Signal[] Heard);
}
