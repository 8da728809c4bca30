namespace RenderGraph.Graph.Contracts;

/// <summary>
/// A node that can share one loop with its like. The planner looks for nodes of one kind that do not wait for each other, each on a stem of its own say,
/// and the engine has one group run them side by side, so that one vector instruction serves several channels of several stems.
/// A group gives the bits that its nodes would have given alone.
/// </summary>
public interface ILaneNode : INode
{
    /// <summary>Nodes of equal kinds can share a loop. A pure function of the parameters: asked before <see cref="INode.Prepare"/>.</summary>
    string LaneKind { get; }

    /// <summary>
    /// Whether nodes that follow each other, nobody else taking what lies between, can be done in one go: then a lane may hold several nodes in a row.
    /// Only for nodes with a single input and no latency.
    /// </summary>
    bool CanRunInRow { get; }

    /// <summary>
    /// Makes the group that works in the stead of these nodes, itself among them. They have been prepared; from now on only the group is called.
    /// Whatever a node tells as its figures afterwards is still asked of the node.
    /// </summary>
    /// <param name="lanes">From first to last; all have rows of the same kinds.</param>
    ILaneGroup Join(IReadOnlyList<Lane> lanes);
}

/// <summary>One lane of a group.</summary>
/// <param name="Row">Its nodes, one after another.</param>
/// <param name="Format">What the first of them was prepared for.</param>
/// <param name="Sources">Where each input of the first comes from: within a group, equal numbers are one and the same signal, so what is found out about it serves all.</param>
public sealed record Lane(IReadOnlyList<INode> Row, NodeFormat Format, IReadOnlyList<int> Sources);

/// <summary>Nodes at work side by side. The rules are those of <see cref="INode.Process"/>.</summary>
public interface ILaneGroup
{
    /// <summary>Renders the next block of every lane. A group may itself spare the lanes that are at rest, and mark what they give silent.</summary>
    /// <param name="startFrame">As <see cref="Block.StartFrame"/>.</param>
    /// <param name="inputs">All inputs of the first lane, then of the second, and so on.</param>
    /// <param name="outputs">One for each lane.</param>
    void Process(long startFrame, ReadOnlySpan<Signal> inputs, ReadOnlySpan<Signal> outputs);
}
