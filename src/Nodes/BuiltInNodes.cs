using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Nodes.Filters;
using RenderGraph.Nodes.Measures;
using RenderGraph.Nodes.Measures.Limiting;
using RenderGraph.Nodes.Measures.Speakers;
using RenderGraph.Nodes.Mixing;
using RenderGraph.Nodes.Saturation;
using RenderGraph.Nodes.Stereo;
using RenderGraph.Nodes.Time;

namespace RenderGraph.Nodes;

/// <summary>Every node type there is, one line each.</summary>
public static class BuiltInNodes
{
    /// <summary>The catalog of all types.</summary>
    public static NodeCatalog Catalog { get; } = new(
    [
        HighPassNode.Type,
        LowPassNode.Type,
        BellNode.Type,
        LowShelfNode.Type,
        HighShelfNode.Type,
        NotchNode.Type,
        KeyedCutNode.Type,
        DuckNode.Type,
        LimitNode.Type,
        SaturateNode.Type,
        GainNode.Type,
        PolarityNode.Type,
        MixNode.Type,
        DelayNode.Type,
        MonoBelowNode.Type,
        MeterNode.Type,
    ], BuiltInMeters.Catalog,
    [
        new("loudnessLufs", LoudnessNode.Type, ["integratedLufs", "truePeakDbtp"]),
        new("speakerHz", SpeakerNode.Type, []) { CaresFor = SpeakerMeter.Names },
        new("ceilingDbtp", LimitNode.Type, ["truePeakDbtp"]) { ComparesWithUntreated = LimitedLoudnessMeter.Names },
    ]);
}
