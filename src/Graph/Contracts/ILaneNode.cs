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
    /// <param name="lanes">One row of nodes for each lane, from first to last; all rows are of the same kinds.</param>
    /// <param name="formats">What each lane's first node was prepared for.</param>
    ILaneGroup Join(IReadOnlyList<IReadOnlyList<INode>> lanes, IReadOnlyList<NodeFormat> formats);
}

/// <summary>Nodes at work side by side. The rules are those of <see cref="INode.Process"/>.</summary>
public interface ILaneGroup
{
    /// <summary>Renders the next block of every lane. A group may itself spare the lanes that are at rest, and mark what they give silent.</summary>
    /// <param name="startFrame">As <see cref="Block.StartFrame"/>.</param>
    /// <param name="inputs">All inputs of the first lane, then of the second, and so on.</param>
    /// <param name="outputs">One for each lane.</param>
    void Process(long startFrame, ReadOnlySpan<Signal> inputs, ReadOnlySpan<Signal> outputs);
}
