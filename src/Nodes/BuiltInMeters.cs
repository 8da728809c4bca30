using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.Hits;
using RenderGraph.Nodes.Measures.Limiting;
using RenderGraph.Nodes.Measures.Loudness;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Nodes.Measures.Speakers;

namespace RenderGraph.Nodes;

/// <summary>Every meter there is, one line each.</summary>
public static class BuiltInMeters
{
    /// <summary>The catalog of all meters.</summary>
    public static MeterCatalog Catalog { get; } = new([LoudnessMeter.Type, LowEndMeter.Type, SpeakerMeter.Type, LimitedLoudnessMeter.Type, HitMeter.Type, AnchorMeter.Type, PeakCostMeter.Type]);
}
