using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.Measures;

/// <summary>A place to measure at: passes its signal on as it is. What is measured, and by whom, the engine sees to.</summary>
public sealed class MeterNode : INode
{
    /// <summary>The type.</summary>
    public static NodeType Type { get; } = NodeType.Meter(
        "meter", version: 1,
        "Measures what comes in and passes it on unchanged. What it finds is in the render's report under its name; \"measure\" may list what is wanted. "
        + "Any stem, node, step or output can be measured without one, by its own \"measure\": true.",
        () => new MeterNode());

    /// <inheritdoc/>
    public int LatencyFrames(int sampleRateHz) => 0;

    /// <inheritdoc/>
    public void Prepare(NodeFormat format)
    {
        // Keeps nothing from one frame to the next.
    }

    /// <inheritdoc/>
    public bool IsAtRest => true;

    /// <inheritdoc/>
    public void Process(in Block block) => block.Input.CopyTo(block.Output);
}
