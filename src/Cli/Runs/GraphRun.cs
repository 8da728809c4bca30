using RenderGraph.Cli.Commands;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Rendering;

namespace RenderGraph.Cli.Runs;

/// <summary>
/// One run of one graph, without a console: opened (read, checked, planned), then rendered. Whoever runs it tells what was found. Runs share nothing, so any number can go on at once.
/// </summary>
internal sealed class GraphRun : IDisposable
{
    private readonly RunOrder _order;
    private readonly RunSetting _setting;

    private GraphRun(RunOrder order, RunSetting setting)
    {
        (_order, _setting) = (order, setting);
        Graph = OpenGraph.Open(order, setting, Diagnostics);
    }

    /// <summary>All that has been found so far.</summary>
    public DiagnosticList Diagnostics { get; } = new();

    /// <summary>The graph, fit to be rendered; null if it has faults.</summary>
    public OpenGraph? Graph { get; }

    /// <summary>Opens a graph. Writes nothing.</summary>
    public static GraphRun Open(RunOrder order, RunSetting setting) => new(order, setting);

    /// <summary>Opens and renders.</summary>
    /// <param name="progress">Called now and then, from one thread at a time.</param>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static RunOutcome Run(RunOrder order, RunSetting setting, Action<RenderProgress>? progress = null)
    {
        using var run = Open(order, setting);
        return run.Render(progress);
    }

    /// <summary>Renders, unless the graph has faults.</summary>
    /// <inheritdoc cref="Run"/>
    public RunOutcome Render(Action<RenderProgress>? progress)
    {
        if (Graph is not { } open)
            return new(RunStatus.Refused, Diagnostics, null);
        try
        {
            var result = Renderer.Render(open.Plan, open.Loaded.Stems.Readers, open.Loaded.Targets, _setting.Files, _order.Options, progress, _setting.Cancellation);
            var report = new RenderReport(open, result, _order.Options);
            foreach (var finding in report.Findings)
                Diagnostics.Add(finding);
            return new(RunStatus.Rendered, Diagnostics, report);
        }
        catch (StemException failure)
        {
            Diagnostics.Add(new(failure.Code, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
        }
        catch (OutputException failure)
        {
            Diagnostics.Add(new(DiagnosticCode.OutputUnwritable, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
        }

        return new(RunStatus.Failed, Diagnostics, null);
    }

    /// <summary>Closes the stems.</summary>
    public void Dispose() => Graph?.Dispose();
}
