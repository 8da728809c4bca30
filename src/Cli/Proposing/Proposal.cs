namespace RenderGraph.Cli.Proposing;

/// <summary>What is proposed for a song.</summary>
/// <param name="Graph">The graph; null if nothing is proposed.</param>
/// <param name="Refusal">Why nothing can be said; null if something can.</param>
/// <param name="Treatments">What is done and helped.</param>
/// <param name="Tried">What was tried and did not help.</param>
/// <param name="Before">The song as it is; null if nothing was rendered.</param>
/// <param name="After">The song as proposed.</param>
/// <param name="Notes">What else is to be known: sentences.</param>
internal sealed record Proposal(
    ProposedGraph? Graph, string? Refusal, IReadOnlyList<Treatment> Treatments, IReadOnlyList<Treatment> Tried, TrialMeasures? Before, TrialMeasures? After, IReadOnlyList<string> Notes)
{
    /// <summary>Whether there was nothing to do.</summary>
    public bool IsClean => Graph is null && Refusal is null;
}
