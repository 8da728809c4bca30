using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Document;

/// <summary>A point of the graph at which something is measured.</summary>
/// <param name="Kind">Whether the name is an output's, or that of a stem, a node or a step.</param>
/// <param name="Name">Its name.</param>
/// <param name="At">Where it is asked for.</param>
/// <param name="Meters">The meters that are needed, in the catalog's order.</param>
/// <param name="Measures">The names of the measures that are wanted.</param>
public sealed record MeasuredPoint(PointKind Kind, string Name, TextPosition At, IReadOnlyList<MeterType> Meters, IReadOnlySet<string> Measures)
{
    /// <summary>The stretch of the song that is heard, or null: all of it.</summary>
    public Stretch? During { get; init; }

    /// <summary>Whether only what sounds at the anchor's hits counts.</summary>
    public bool AtHits { get; init; }

    /// <summary>Whether its untreated counterpart is measured.</summary>
    public bool IsUntreated { get; init; }

    /// <summary>What messages call it.</summary>
    public string Subject => $"{(Kind == PointKind.Output ? "output " : "")}\"{Name}\"{(IsUntreated ? ", untreated," : "")}";

    /// <summary>What tells it apart from every other point of its graph: <c>output mix</c>, <c>signal sub from 1.5 to 3 s</c>. A lock finds measures by it.</summary>
    public string Key =>
        $"{(Kind == PointKind.Output ? "output" : "signal")} {Name}{(IsUntreated ? " untreated" : "")}{(AtHits ? " at the hits" : "")}{(During is { } during ? $" from {ParameterName.Write(during.FromSeconds)} to {ParameterName.Write(during.ToSeconds)} s" : "")}";

    /// <summary>A point at which these measures are taken.</summary>
    public static MeasuredPoint Of(PointKind kind, string name, TextPosition at, MeterCatalog catalog, IEnumerable<string> measures)
    {
        var wanted = measures.ToHashSet(StringComparer.Ordinal);
        return new(kind, name, at, [.. catalog.Types.Where(type => type.Measures.Any(measure => wanted.Contains(measure.Name)))], wanted);
    }
}

/// <summary>What a measured point is.</summary>
public enum PointKind
{
    /// <summary>What a stem, a node or a step gives.</summary>
    Signal,

    /// <summary>What is written into a file, before it is rounded to the file's encoding.</summary>
    Output,
}
