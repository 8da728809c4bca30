using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Graph.Document;

/// <summary>A gate: what a measure must be for the render to be good.</summary>
/// <param name="At">Where it stands.</param>
/// <param name="Measure">The measure's name.</param>
/// <param name="Of">What is measured: an output of that name, else a stem, a node or a step.</param>
/// <param name="Kind">Which of these.</param>
/// <param name="AtLeast">It must not be less; null if it may be.</param>
/// <param name="AtMost">It must not be more; null if it may be.</param>
/// <param name="During">The stretch of the song that counts, or null: all of it.</param>
/// <param name="Why">The reason, in the words of whoever wrote it.</param>
public sealed record Expectation(
    TextPosition At, string Measure, Located<string> Of, PointKind Kind, double? AtLeast, double? AtMost, Stretch? During, string? Why)
{
    /// <summary>Whether it is about the change: the measure less that of the untreated song.</summary>
    public bool IsAgainstUntreated { get; init; }

    /// <summary>Whether it is about the anchor's hits alone.</summary>
    public bool AtHits { get; init; }

    /// <summary>What messages call it: <c>truePeakDbtp of output "mix"</c>.</summary>
    public string Subject => $"{(IsAgainstUntreated ? "change of " : "")}{Measure} of {(Kind == PointKind.Output ? "output " : "")}\"{Of.Value}\"{(AtHits ? " at the hits" : "")}";

    /// <summary>Whether it is the one whose measures are taken there.</summary>
    /// <param name="untreated">Whether the untreated counterpart is asked for.</param>
    public bool IsAt(MeasuredPoint point, bool untreated = false) =>
        point.Kind == Kind && point.Name == Of.Value && point.During == During && point.AtHits == AtHits && point.IsUntreated == untreated;
}

/// <summary>A stretch of the song.</summary>
/// <param name="FromSeconds">Its beginning.</param>
/// <param name="ToSeconds">Its end.</param>
public readonly record struct Stretch(double FromSeconds, double ToSeconds);
