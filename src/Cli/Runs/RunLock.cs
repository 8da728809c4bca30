using RenderGraph.Cli.Commands;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Locks;
using RenderGraph.Graph.Rendering;

namespace RenderGraph.Cli.Runs;

/// <summary>The lock of one run: what was rendered before, how everything is now, and what is written down afterwards.</summary>
internal sealed class RunLock
{
    private readonly RunOrder _order;
    private readonly RunSetting _setting;
    private readonly string _graphXxh128;
    private readonly Dictionary<string, DateTime> _writtenAt;

    private RunLock(RunOrder order, GraphDocument document, RenderLock? previous, RunSetting setting)
    {
        (_order, _setting, Previous) = (order, setting, previous);
        var sources = ContentHash.OfFiles([.. order.Graph.Place.Sources.Select(source => source.Path)], 1, setting.Cancellation);
        _graphXxh128 = sources is [{ } only] ? only.Xxh128 : ContentHash.Of(System.Text.Encoding.ASCII.GetBytes(string.Join(' ', sources.Select(source => source?.Xxh128)))).Xxh128;
        var files = GraphState.FilesOf(document);
        _writtenAt = files.ToDictionary(file => file, file => WrittenAt(order, file), StringComparer.Ordinal);
        Now = new(GraphState.WithAnchor(document, previous), Hash(order, files, setting));
    }

    /// <summary>What was rendered before; null if nothing was, or if the lock was deleted.</summary>
    public RenderLock? Previous { get; }

    /// <summary>How everything is.</summary>
    public GraphState Now { get; private set; }

    /// <summary>Full path.</summary>
    public string LockPath => _order.LockPath!;

    /// <summary>Whether the anchor need not be listened to.</summary>
    public bool KeepsAnchor => Previous is not null && !_order.MeasureAnew && Now.KeepsAnchorOf(Previous);

    /// <summary>Why what was rendered no longer holds; nothing if it does.</summary>
    public IEnumerable<StaleReason> Reasons => Staleness.Reasons(Previous, Now, OutputsNow);

    /// <summary>Whether not a letter of the graph has changed, so that all that was told then stands where it stood.</summary>
    public bool IsTextSame => Previous?.GraphXxh128 == _graphXxh128 && Previous.IsOutsideAllowed == _order.AllowOutside;

    /// <summary>Answers for the anchor as long as what is known of it holds.</summary>
    public AnchorMemory Anchor { get; private set; } = null!;

    /// <summary>Reads the lock and looks at everything that it tells of; null, after noting why, if the lock cannot be used.</summary>
    public static RunLock? Open(RunOrder order, GraphDocument document, RunSetting setting, DiagnosticList diagnostics)
    {
        var faults = new DiagnosticList();
        var previous = LockReader.ReadFile(order.LockPath!, Say.Path(order.LockPath!), faults);
        foreach (var fault in faults.InOrder)
            diagnostics.Add(fault);
        if (faults.HasErrors)
            return null;
        var run = new RunLock(order, document, previous, setting);
        run.Anchor = Remember(order, previous, run.Now, setting);
        return run;
    }

    /// <summary>Answers for the anchor from a lock, if there is one and it fits; nothing else of the lock is looked at.</summary>
    public static IAnchorMeasuring AnchorOf(RunOrder order, GraphDocument document, RunSetting setting)
    {
        if (order.LockPath is not { } path || order.MeasureAnew || !GraphState.Listens(document)
            || document.Stems.FirstOrDefault(stem => stem.Id == document.Anchor!.Stem.Value) is not { } stem || LockReader.ReadFile(path, path, new DiagnosticList()) is not { } locked)
        {
            return setting.Anchor;
        }

        var files = GraphState.FilesOf(document with { Stems = [stem] });
        return Remember(order, locked, new(GraphState.WithAnchor(document, locked), Hash(order, files, setting)), setting);
    }

    /// <summary>After the anchor was listened to whatever the lock knew: what was found counts.</summary>
    public void Take(OpenGraph open) => Now = Now with { Document = open.Loaded.Document, MeasuredAnchor = AnchorOf(open) };

    /// <summary>What the report of the render told, from the lock alone.</summary>
    public RenderReport Restore(RenderedGraph graph)
    {
        var locked = Previous!;
        var points = Now.Document.Measured.ToDictionary(point => point.Key, StringComparer.Ordinal);
        var result = new RenderResult(
            locked.SampleRateHz,
            [.. locked.Outputs.Select(output => new RenderedOutput(output.Output, PathOf(output.File), output.Channels, output.Encoding, output.Summary))],
            locked.Figures)
        {
            Measures =
            [
                .. from measures in locked.Measures
                   where points.ContainsKey(measures.Point)
                   let point = points[measures.Point]
                   select new PointMeasures(point, measures.FirstFrame, measures.EndFrame, [.. measures.Measurements.Where(measurement => point.Measures.Contains(measurement.Name))]),
            ],
            Verdict = locked.Verdict,
        };
        return new(graph, result, _order.Options, isUpToDate: true);
    }

    /// <summary>What a report needs of the graph, from the lock alone.</summary>
    public RenderedGraph RestoreGraph(DiagnosticList diagnostics)
    {
        var locked = Previous!;
        foreach (var finding in locked.Findings)
            diagnostics.Add(new(finding.Code, FileOf(finding), finding.At, finding.Sentence, finding.Remedy, finding.Severity));
        return new(
            Now.Document, locked.Outputs.ToDictionary(output => output.Output, output => PathOf(output.File), StringComparer.Ordinal), locked.LatencyFrames, locked.ConvertedFromHz, diagnostics,
            (gate, _) => locked.Gates.FirstOrDefault(told => told.Gate == Named(gate))?.Stem);
    }

    /// <summary>Writes down what was rendered; or, if the lock must hold, holds the outputs against it.</summary>
    public void Conclude(OpenGraph open, RenderReport report)
    {
        var outputs = ContentHash.OfFiles([.. report.Result.Outputs.Select(output => output.Path)], _order.Options.ThreadCount, CancellationToken.None);
        if (_order.MustHold)
        {
            foreach (var (output, content) in report.Result.Outputs.Zip(outputs).Where(output => output.Second != Previous!.Outputs.FirstOrDefault(was => was.File == FileOf(output.First.Path))?.Content))
            {
                open.Diagnostics.Add(new(
                    DiagnosticCode.LockDiffers, Say.Path(output.Path), default, "it came out otherwise than the lock has it, though nothing that it is made of has changed",
                    "Compare it with what was rendered then (verify tells where they differ), and report it: the same engine must give the same bytes"));
            }

            return;
        }

        if (Now.Inputs.Keys.FirstOrDefault(file => Now.Inputs[file] is null || WrittenAt(_order, file) != _writtenAt[file]) is { } changed)
            Warn(open.Diagnostics, $"input {changed} was written to when the render began");
        else if (outputs.Contains(null))
            Warn(open.Diagnostics, "an output cannot be read back");
        else
            Write(open.Diagnostics, Describe(open, report, [.. outputs.OfType<ContentHash>()]));
    }

    /// <summary>Writes the lock anew, with what is told of the graph as it is now, if it is to be written at all.</summary>
    public void Refresh(OpenGraph open, RenderReport report)
    {
        if (!_order.MustHold)
            Write(open.Diagnostics, Describe(open, report, [.. Previous!.Outputs.Select(output => output.Content)]));
    }

    private static AnchorMemory Remember(RunOrder order, RenderLock? locked, GraphState now, RunSetting setting) =>
        locked is not null && !order.MeasureAnew && now.KeepsAnchorOf(locked) ? new(setting.Anchor, locked.Anchor, locked.SampleRateHz) : new(setting.Anchor, null, 0);

    private static Dictionary<string, ContentHash?> Hash(RunOrder order, IReadOnlyList<string> files, RunSetting setting)
    {
        var folder = order.Graph.Place.Folder;
        var readable = files.Where(file => order.AllowOutside || !GraphState.IsOutside(file, folder)).ToList();
        var contents = ContentHash.OfFiles(readable.ConvertAll(file => Path.Combine(folder, file)), order.Options.ThreadCount, setting.Cancellation);
        var found = files.ToDictionary(file => file, _ => (ContentHash?)null, StringComparer.Ordinal);
        foreach (var (file, content) in readable.Zip(contents))
            found[file] = content;
        return found;
    }

    // No reason for anything but distrust: a file that was written to between two looks was not what was hashed.
    private static DateTime WrittenAt(RunOrder order, string file) => File.GetLastWriteTimeUtc(Path.Combine(order.Graph.Place.Folder, file));

    private IReadOnlyList<ContentHash?> OutputsNow() => ContentHash.OfFiles([.. Previous!.Outputs.Select(output => PathOf(output.File))], _order.Options.ThreadCount, _setting.Cancellation);

    /// <summary>Full path of an output's file.</summary>
    public string PathOf(string file) => Path.GetFullPath(Path.Combine(_order.FullOutFolder, file));

    /// <summary>A path in the folder of the outputs as a lock has it.</summary>
    public string FileOf(string path) => Path.GetRelativePath(_order.FullOutFolder, path).Replace(Path.DirectorySeparatorChar, '/');

    private string FileOf(LockedFinding finding) => finding.About switch
    {
        FindingAbout.Graph => Now.Document.File,
        FindingAbout.Output => Say.Path(PathOf(finding.File)),
        _ => Path.Combine(_order.Graph.Place.ShownFolder, finding.File),
    };

    private LockedAnchor? AnchorOf(OpenGraph open)
    {
        var document = open.Loaded.Document;
        if (document.Anchor is not { Measures: { } measures } anchor)
            return null;
        var startFrame = Graph.Planning.Planner.StartFrame(document.Stems.First(stem => stem.Id == anchor.Stem.Value), open.Loaded.SampleRateHz);
        return new(startFrame, Anchor.ToldHits ?? (measures.Hits is { } hits ? [.. hits.Select(hit => hit with { Frame = hit.Frame - startFrame })] : null), measures.Frequency);
    }

    private RenderLock Describe(OpenGraph open, RenderReport report, IReadOnlyList<ContentHash> outputs) => new()
    {
        EngineVersion = RenderLock.ThisEngine,
        GraphXxh128 = _graphXxh128,
        IsOutsideAllowed = _order.AllowOutside,
        SampleRateHz = report.Result.SampleRateHz,
        LatencyFrames = open.LatencyFrames,
        Inputs = Now.Inputs.ToDictionary(input => input.Key, input => input.Value!, StringComparer.Ordinal),
        ConvertedFromHz = RenderedGraph.Of(open).ConvertedFromHz,
        Anchor = AnchorOf(open),
        Graph = EffectiveGraph.Of(open.Loaded.Document),
        Outputs = [.. report.Result.Outputs.Zip(outputs, (output, content) => new LockedOutput(FileOf(output.Path), output.Output, content, output.Channels, output.Encoding, output.Summary))],
        Figures = report.Result.Nodes,
        Measures = [.. report.Result.Measures.Select(point => new LockedMeasures(point.Point.Key, point.FirstFrame, point.EndFrame, point.Measurements))],
        Gates = [.. report.Gates.Results.Where(gate => gate.IsJudged).Select(gate => new LockedGate(Named(gate.Gate), gate.Holds, gate.Value, gate.Holds ? null : report.Gates.StemOf(gate)))],
        Verdict = report.Result.Verdict,
        Findings = [.. open.Diagnostics.InOrder.Select(finding => Keep(finding, report.Result))],
    };

    private static string Named(Expectation gate) =>
        gate.Subject + (gate.During is { } during ? $" from {SongTime.Write(during.FromSeconds)} to {SongTime.Write(during.ToSeconds)}" : "") + $", {GateReport.Limits(gate)}";

    private LockedFinding Keep(Diagnostic finding, RenderResult result)
    {
        var output = result.Outputs.FirstOrDefault(output => Say.Path(output.Path) == finding.File);
        var shown = _order.Graph.Place.ShownFolder;
        var (about, file) = finding.File == Now.Document.File ? (FindingAbout.Graph, "")
            : output is not null ? (FindingAbout.Output, FileOf(output.Path))
            : (FindingAbout.File, shown.Length > 0 ? Path.GetRelativePath(shown, finding.File) : finding.File);
        return new(about, file, finding.Code, finding.Severity, finding.At, finding.Sentence, finding.Remedy);
    }

    private void Write(DiagnosticList diagnostics, RenderLock render)
    {
        var text = LockWriter.Write(render);
        try
        {
            if (File.Exists(LockPath) && File.ReadAllBytes(LockPath).AsSpan().SequenceEqual(text))
                return;
            Directory.CreateDirectory(Path.GetDirectoryName(LockPath)!);
            TextFile.Write(LockPath, writer => writer.Write(System.Text.Encoding.UTF8.GetString(text)));
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            Warn(diagnostics, fault is UnauthorizedAccessException ? "permission is missing" : fault.Message.TrimEnd('.'));
        }
    }

    private void Warn(DiagnosticList diagnostics, string why) => diagnostics.Add(new(
        DiagnosticCode.LockUnwritten, Say.Path(LockPath), default, $"the outputs are written, but the lock is not: {why}",
        "The next render measures and renders anew; if it shall not, let the lock be written", Severity.Warning));
}
