using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Planning;

/// <summary>A step while the plan is being made: it knows the steps it takes from, but has no place in the order and no buffer yet.</summary>
/// <param name="Name">As <see cref="PlanStep.Name"/>.</param>
/// <param name="LatencyFrames">As <see cref="PlanStep.LatencyFrames"/>.</param>
/// <param name="LaneNode">The node, if it is one that can share a loop.</param>
/// <param name="Finish">Makes the final step from the indices of its inputs, its first buffer and its lane group.</param>
internal sealed record DraftStep(
    string Name, IReadOnlyList<DraftStep> Inputs, int Channels, int LatencyFrames, bool GivesSignal, ILaneNode? LaneNode,
    Func<IReadOnlyList<int>, int, int, PlanStep> Finish)
{
    /// <summary>A draft is itself, not its contents: two bypassed nodes may look alike.</summary>
    public bool Equals(DraftStep? other) => ReferenceEquals(this, other);

    /// <inheritdoc/>
    public override int GetHashCode() => System.Runtime.CompilerServices.RuntimeHelpers.GetHashCode(this);
}
