using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Filters;

/// <summary>A node that is nothing but filter sections in a row. No latency: what a filter does to the phase is part of its sound.</summary>
public abstract class SectionNode : ILaneNode
{
    // Any rate will do: how many sections there are does not depend on it.
    private const int NominalSampleRateHz = 48000;

    private SectionCascade? _cascade;

    /// <inheritdoc/>
    public string LaneKind => "sections " + Design(NominalSampleRateHz).Count.ToString(CultureInfo.InvariantCulture);

    /// <inheritdoc/>
    public bool CanRunInRow => true;

    /// <inheritdoc/>
    public int LatencyFrames(int sampleRateHz) => 0;

    /// <inheritdoc/>
    public void Prepare(NodeFormat format) => _cascade = new(Design(format.SampleRateHz));

    /// <inheritdoc/>
    public void Process(in Block block) => _cascade!.Process(block.StartFrame, block.Input, block.Output);

    /// <inheritdoc/>
    public bool IsAtRest => _cascade!.IsAtRest;

    /// <inheritdoc/>
    public ILaneGroup Join(IReadOnlyList<Lane> lanes) =>
        new Group(new(
        [
            .. lanes.Select(lane => (
                lane.Format.OutputChannels,
                (IReadOnlyList<Section>)[.. lane.Row.SelectMany(node => ((SectionNode)node).Design(lane.Format.SampleRateHz))])),
        ]));

    /// <summary>The sections in the order of work.</summary>
    public abstract IReadOnlyList<Section> Design(int sampleRateHz);

    private sealed class Group(SectionBank bank) : ILaneGroup
    {
        public void Process(long startFrame, ReadOnlySpan<Signal> inputs, ReadOnlySpan<Signal> outputs) => bank.Process(startFrame, inputs, outputs);
    }
}
