using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Rendering;

/// <summary>What a render gave.</summary>
/// <param name="SampleRateHz">Of every output.</param>
/// <param name="Outputs">In the order of the plan.</param>
/// <param name="Nodes">What the nodes have to tell, in the order of the plan; those with nothing to tell are left out.</param>
public sealed record RenderResult(int SampleRateHz, IReadOnlyList<RenderedOutput> Outputs, IReadOnlyList<NodeFigures> Nodes)
{
    /// <summary>What was measured, in the order of the plan.</summary>
    public IReadOnlyList<PointMeasures> Measures { get; init; } = [];

    /// <summary>What the treatment changed; null if that was not asked.</summary>
    public SongChange? Change { get; init; }

    /// <summary>Whether the treatment helped; null if that was not asked, or the graph has no song to ask it of.</summary>
    public Verdict? Verdict { get; init; }
}

/// <summary>One file written.</summary>
/// <param name="Output">Its name in the graph.</param>
/// <param name="Path">Full path.</param>
/// <param name="Summary">What is in it.</param>
public sealed record RenderedOutput(string Output, string Path, int Channels, SampleEncoding Encoding, OutputSummary Summary);

/// <summary>What one node found and did.</summary>
/// <param name="Node">Its name in the plan.</param>
/// <param name="Type">Its type's name.</param>
public sealed record NodeFigures(string Node, string Type, IReadOnlyList<Figure> Figures);
