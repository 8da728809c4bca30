using RenderGraph.Cli.Commands;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Rendering;

namespace RenderGraph.Cli.Runs;

/// <summary>What came of a run.</summary>
/// <param name="Status">What became of it.</param>
/// <param name="Diagnostics">All that was found, before and after the render: faults, warnings, gates that do not hold.</param>
/// <param name="Report">What there is to tell of it; null if nothing was rendered.</param>
internal sealed record RunOutcome(RunStatus Status, DiagnosticList Diagnostics, RenderReport? Report)
{
    /// <summary>What was written and measured; null if nothing was rendered.</summary>
    public RenderResult? Result => Report?.Result;

    /// <summary>Whether the treatment helped; null if that was not asked, or the graph has no song to ask it of.</summary>
    public Verdict? Verdict => Result?.Verdict;

    /// <summary>What the shell is told.</summary>
    public int ExitCode => Cli.ExitCode.Of(Diagnostics);
}
