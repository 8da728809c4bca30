using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Rendering;

/// <summary>What was measured at one point.</summary>
/// <param name="Point">Where.</param>
/// <param name="FirstFrame">The song's frame that measuring began with.</param>
/// <param name="EndFrame">The song's frame after the last that was measured.</param>
/// <param name="Measurements">In the catalog's order.</param>
public sealed record PointMeasures(MeasuredPoint Point, long FirstFrame, long EndFrame, IReadOnlyList<Measurement> Measurements);
