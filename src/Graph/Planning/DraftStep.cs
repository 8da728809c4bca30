using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Planning;

/// <summary>How a step is drafted once more for a part of what it takes.</summary>
/// <param name="IsHeard">Of each input, whether it is heard in what the step gives; the others steer and stay.</param>
/// <param name="Draft">Makes the draft from its name, the places of the inputs that are left, and what now comes in there.</param>
internal sealed record DraftPart(IReadOnlyList<bool> IsHeard, Func<string, IReadOnlyList<int>, IReadOnlyList<DraftStep>, DraftStep> Draft);

/// <summary>A step while the plan is being made: it knows the steps it takes from, but has no place in the order and no buffer yet.</summary>
/// <param name="Name">As <see cref="PlanStep.Name"/>.</param>
/// <param name="BehindFrames">How far what it gives lies behind each of its inputs.</param>
/// <param name="LaneNode">The node, if it is one that can share a loop.</param>
/// <param name="Finish">Makes the final step from itself, aligned, the indices of its inputs, its first buffer and its lane group.</param>
internal sealed record DraftStep(
    string Name, IReadOnlyList<DraftStep> Inputs, IReadOnlyList<int> BehindFrames, int Channels, bool GivesSignal, ILaneNode? LaneNode,
    Func<DraftStep, IReadOnlyList<int>, int, int, PlanStep> Finish)
{
    /// <summary>As <see cref="PlanStep.LatencyFrames"/>: known once <see cref="PathAlignment"/> has been at work.</summary>
    public int LatencyFrames { get; init; }

    /// <summary>It does nothing but hold a signal back.</summary>
    public bool OnlyAligns { get; init; }

    /// <summary>Drafts the same work, under another name, on some of its inputs only; null if that makes no sense.</summary>
    public DraftPart? Part { get; init; }

    /// <summary>It takes what it takes whenever that comes: nobody waits for what it does.</summary>
    public bool IsPatient { get; init; }

    /// <summary>A draft is itself, not its contents: two bypassed nodes may look alike.</summary>
    public bool Equals(DraftStep? other) => ReferenceEquals(this, other);

    /// <inheritdoc/>
    public override int GetHashCode() => System.Runtime.CompilerServices.RuntimeHelpers.GetHashCode(this);
}
