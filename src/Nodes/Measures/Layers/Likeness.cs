namespace RenderGraph.Nodes.Measures.Layers;

/// <summary>How alike the low ends of two stems are once they are lined up.</summary>
/// <param name="One">Place of the first among the stems.</param>
/// <param name="Other">Place of the second.</param>
/// <param name="Correlation">The largest cross-correlation from 20 to 300 Hz at any delay up to 20 ms, over its largest possible value: 1 the same, 0 nothing in common, -1 the same upside down.</param>
/// <param name="DelayMs">How much later the other is at that, on a step of 0.01 ms.</param>
/// <param name="CorrelationNow">The same as they lie.</param>
public readonly record struct Likeness(int One, int Other, double Correlation, double DelayMs, double CorrelationNow);
