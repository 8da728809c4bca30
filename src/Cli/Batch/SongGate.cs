namespace RenderGraph.Cli.Batch;

/// <summary>How a gate fared in one song.</summary>
/// <param name="Subject"><c>truePeakDbtp of mix</c>.</param>
/// <param name="State"><c>holds</c>, <c>failed</c> or <c>notJudged</c>.</param>
/// <param name="Value">In the unit that the measure's name ends in; null if it cannot be measured.</param>
/// <param name="Reason">If it failed: value, limit, place and stem in a sentence.</param>
internal sealed record SongGate(string Subject, string State, double? Value, string? Reason);
