namespace RenderGraph.Cli.Proposing;

/// <summary>What is wanted of a proposal.</summary>
/// <param name="ClearanceDb">How far the anchor is to stand above everything else in its own band.</param>
/// <param name="StemsFolder">From the graph's folder to the stems, with a slash at its end; empty if they lie in it.</param>
internal sealed record ProposalWish(double ClearanceDb, string StemsFolder);
