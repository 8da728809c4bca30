namespace RenderGraph.Graph.Contracts;

/// <summary>A node that has something to tell after a render: what it found and what it did.</summary>
public interface IFigureSource
{
    /// <summary>The figures of the render so far, always in the same order.</summary>
    IReadOnlyList<Figure> Figures { get; }
}

/// <summary>One figure.</summary>
/// <param name="Name">camelCase, the unit at its end: <c>thresholdDbfs</c>, <c>hitCount</c>.</param>
/// <param name="Value">The number, or null if there is none to give.</param>
public readonly record struct Figure(string Name, double? Value);
