using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Rendering;

/// <summary>How a gate fared.</summary>
/// <param name="Gate">The gate.</param>
/// <param name="Point">What was measured there; null if it was not measured, since only another part of the song was rendered.</param>
/// <param name="Measurement">Its measure; null as well then.</param>
public sealed record GateResult(Expectation Gate, PointMeasures? Point, Measurement? Measurement)
{
    /// <summary>The measure of the untreated counterpart; null unless the gate is about the change.</summary>
    public Measurement? Untreated { get; init; }

    /// <summary>What is held against the limits; null if it cannot be measured.</summary>
    public double? Value => Gate.IsAgainstUntreated ? Measurement?.Value - Untreated?.Value : Measurement?.Value;

    /// <summary>Why there is no value; null if there is one, or if it was not judged.</summary>
    public string? Reason => Measurement?.Reason ?? (Untreated?.Reason is { } reason ? $"untreated, {reason}" : null);

    /// <summary>Whether it was judged at all.</summary>
    public bool IsJudged => Measurement is not null;

    /// <summary>Whether it holds: the value lies within its limits, themselves included. What cannot be measured does not.</summary>
    public bool Holds => Value is { } value && !(value < Gate.AtLeast) && !(value > Gate.AtMost);

    /// <summary>Judges every gate of a graph by what a render measured.</summary>
    /// <param name="isWhole">Whether the whole song was rendered; of a part, no gate is judged.</param>
    public static IReadOnlyList<GateResult> Judge(GraphDocument document, RenderResult result, bool isWhole) =>
    [
        .. from gate in document.Expectations
           let point = isWhole ? result.Measures.FirstOrDefault(point => gate.IsAt(point.Point)) : null
           let untreated = point is not null && gate.IsAgainstUntreated ? result.Measures.FirstOrDefault(point => gate.IsAt(point.Point, untreated: true)) : null
           select new GateResult(gate, point, Of(gate, point)) { Untreated = Of(gate, untreated) },
    ];

    private static Measurement? Of(Expectation gate, PointMeasures? point) => point?.Measurements.First(measurement => measurement.Name == gate.Measure);
}
