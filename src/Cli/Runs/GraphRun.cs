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
    private readonly RunLock? _lock;
    private readonly RenderReport? _restored;
    private bool _isRefused;

    private GraphRun(RunOrder order, RunSetting setting)
    {
        (_order, _setting) = (order, setting);
        if (order.Graph.Read(setting.Catalog, Diagnostics) is not { } document)
            return;
        if (order.LockPath is null || !order.IsComplete || Diagnostics.HasErrors)
        {
            Graph = OpenGraph.Open(order, document, RunLock.AnchorOf(order, document, setting), setting, Diagnostics);
            return;
        }

        _lock = RunLock.Open(order, document, setting, Diagnostics);
        if (_lock is null)
            return;
        var mayHold = !order.Again && !order.MeasureAnew && !_lock.Reasons.Any();
        if (mayHold && _lock.IsTextSame)
        {
            _restored = _lock.Restore(_lock.RestoreGraph(Diagnostics));
            return;
        }

        if (!order.MeasureAnew && IsRefused())
            return;
        Graph = OpenGraph.Open(order, document, _lock.Anchor, setting, Diagnostics);
        if (Graph is null)
            return;
        if (order.MeasureAnew)
        {
            _lock.Take(Graph);
            if (IsRefused())
                return;
            mayHold = !order.Again && !_lock.Reasons.Any();
        }

        if (!mayHold)
            return;

        // The text is another, but nothing that a byte hangs on: what is told of it is told anew.
        _restored = _lock.Restore(RenderedGraph.Of(Graph));
        foreach (var finding in _restored.Findings)
            Diagnostics.Add(finding);
        _lock.Refresh(Graph, _restored);
    }

    /// <summary>All that has been found so far.</summary>
    public DiagnosticList Diagnostics { get; } = new();

    /// <summary>The graph, fit to be rendered; null if it has faults, or if it need not be looked into.</summary>
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

    /// <summary>Whether there is anything to render.</summary>
    public bool MustRender => Graph is not null && _restored is null && !_isRefused;

    /// <summary>Renders, unless the graph has faults or everything is there already.</summary>
    /// <inheritdoc cref="Run"/>
    public RunOutcome Render(Action<RenderProgress>? progress)
    {
        if (_restored is not null)
            return new(RunStatus.UpToDate, Diagnostics, _restored);
        if (!MustRender)
            return new(RunStatus.Refused, Diagnostics, null);
        var open = Graph!;
        try
        {
            var result = Renderer.Render(open.Plan, open.Loaded.Stems.Readers, open.Loaded.Targets, _setting.Files, _order.Options, progress, _setting.Cancellation);
            var report = new RenderReport(RenderedGraph.Of(open), result, _order.Options);
            foreach (var finding in report.Findings)
                Diagnostics.Add(finding);
            _lock?.Conclude(open, report);
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

    /// <summary>Notes every difference from a lock that must hold. An output that is missing or was changed is none: rendering puts it right.</summary>
    private bool IsRefused()
    {
        if (!_order.MustHold)
            return false;
        foreach (var reason in _lock!.Reasons.Where(reason => !reason.IsOnlyAnOutput))
        {
            _isRefused = true;
            Diagnostics.Add(new(
                DiagnosticCode.LockDiffers, Say.Path(_lock.LockPath), default, reason.Sentence,
                "Put back what was, or render without --locked, which writes the lock anew"));
        }

        return _isRefused;
    }

    /// <summary>Closes the stems.</summary>
    public void Dispose() => Graph?.Dispose();
}
