using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Filters;

/// <summary>A node that is nothing but filter sections in a row. No latency: what a filter does to the phase is part of its sound.</summary>
public abstract class SectionNode : INode
{
    private SectionCascade? _cascade;

    /// <inheritdoc/>
    public int LatencyFrames(int sampleRateHz) => 0;

    /// <inheritdoc/>
    public void Prepare(NodeFormat format) => _cascade = new(Design(format.SampleRateHz));

    /// <inheritdoc/>
    public void Process(in Block block) => _cascade!.Process(block.StartFrame, block.Input, block.Output);

    /// <summary>The sections in the order of work.</summary>
    public abstract IReadOnlyList<Section> Design(int sampleRateHz);
}
