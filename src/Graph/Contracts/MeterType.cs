namespace RenderGraph.Graph.Contracts;

/// <summary>A kind of meter: which measures it takes, of what, and how one is made.</summary>
/// <param name="Name">For help and messages, camelCase.</param>
/// <param name="Ports">What it hears; the first is always <see cref="MeterPort.Measured"/>.</param>
/// <param name="Measures">What may be asked of it, in the order in which it answers.</param>
/// <param name="Create">Makes a meter that takes some of its measures and spares the work for all others.</param>
public sealed record MeterType(
    string Name, IReadOnlyList<MeterPort> Ports, IReadOnlyList<MeasureType> Measures, Func<IReadOnlySet<string>, IMeter> Create)
{
    /// <summary>Whether <c>"measure": true</c> asks for its measures: only of one that needs nothing but the measured signal. The others must be named.</summary>
    public bool IsUsual { get; init; } = Ports.Count == 1;

    /// <summary>Makes a meter that takes its measures only at the anchor's hits; null if none of them can be, or all of them always are.</summary>
    public Func<IReadOnlySet<string>, IMeter>? CreateAtHits { get; init; }

    /// <summary>Whether all that it says is about the low end, so that whoever looks for a cause listens to nothing else.</summary>
    public bool IsOfLowEnd { get; init; }

    /// <summary>Whether it must know when the anchor hits, and where its low note sits.</summary>
    public bool NeedsAnchor { get; init; } = Ports.Contains(MeterPort.Anchor);
}

/// <summary>A number that can be asked for by its name.</summary>
/// <param name="Name">camelCase, the unit at its end: <c>truePeakDbtp</c>.</param>
/// <param name="About">What it says and by which rule, in a sentence.</param>
public sealed record MeasureType(string Name, string About)
{
    /// <summary>What it says if it is taken only at the anchor's hits (<c>"during": "hits"</c>); null if that makes no sense.</summary>
    public string? AtHits { get; init; }

    /// <summary>Why it makes none: completes "it cannot be taken at the hits, since ".</summary>
    public string? NotAtHits { get; init; }
}

/// <summary>What a meter hears.</summary>
public enum MeterPort
{
    /// <summary>The signal that is measured.</summary>
    Measured,

    /// <summary>The same before an output's own loudness and ceiling, which would treat a part of it alone in another way.</summary>
    Source,

    /// <summary>The anchor as it is heard in <see cref="Source"/>; where it is not, its stem as it keys: itself even if it is muted.</summary>
    Anchor,

    /// <summary>The song: what goes into the output that most stems reach; of several the nearest to the stems, then the first written.</summary>
    Mix,

    /// <summary>What <see cref="Mix"/> has of the measured signal.</summary>
    PartOfMix,
}
