namespace RenderGraph.Graph.Planning;

/// <summary>Steps that run as one: a single step, or the lanes of a group.</summary>
/// <param name="Lanes">One row of steps for each lane. What a row's step gives to the next in its row never leaves the loop.</param>
/// <param name="IsGroup">Whether the steps are lanes of a group; a group of a single lane is one too.</param>
internal sealed record WorkUnit(IReadOnlyList<IReadOnlyList<DraftStep>> Lanes, bool IsGroup)
{
    /// <summary>By which units are put in order: that of the first lane's last step.</summary>
    public string Name => Lanes[0][^1].Name;

    /// <summary>All steps, lane by lane.</summary>
    public IEnumerable<DraftStep> Steps => Lanes.SelectMany(lane => lane);

    /// <summary>What comes in from other units.</summary>
    public IEnumerable<DraftStep> Inputs => Lanes.SelectMany(lane => lane[0].Inputs).Distinct();

    /// <inheritdoc/>
    public bool Equals(WorkUnit? other) => ReferenceEquals(this, other);

    /// <inheritdoc/>
    public override int GetHashCode() => System.Runtime.CompilerServices.RuntimeHelpers.GetHashCode(this);
}
