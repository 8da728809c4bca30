using RenderGraph.Cli.Analysis;
using RenderGraph.Cli.Commands;
using RenderGraph.Cli.Comparing;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Locks;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes.Measures;
using RenderGraph.Nodes.Measures.LowEnd;

namespace RenderGraph.Cli.Batch;

/// <summary>
/// One song of a batch: the recipe's graph is rendered into a folder of the song's own, stems and mix are measured, and what is to be told is put together and kept beside the outputs. Where the lock says that nothing has changed, what was
/// kept is told again. Writes nothing into the song's folder.
/// </summary>
internal sealed class SongRun(RunSetting setting, BatchRecipe recipe, string outFolder, int threads, bool allowOutside)
{
    /// <summary>Runs.</summary>
    /// <returns>What came of it, and whether nothing had to be rendered.</returns>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public (SongResult Result, bool WasThere) Run(Song song, Action<RenderProgress> progress)
    {
        if (!Directory.Exists(song.Folder))
        {
            return (SongResult.Failed(song.Name, SongState.Unreadable, [FindingOf(song, new(
                DiagnosticCode.StemMissing, song.Folder, default, "there is no such folder", "Look at how it is spelled, and from which folder it counts"))]), false);
        }

        var folder = OutFolderOf(song);
        var memoryPath = Path.Combine(folder, ResultFiles.Song);
        var source = SongMemory.SourceOf(recipe, song, allowOutside);
        var memory = SongMemory.Read(memoryPath);
        if (memory is not null && memory.SourceXxh128 == source && memory.Holds(song.Folder, folder, setting.Cancellation))
            return (memory.Result, true);

        var order = new RunOrder(recipe.For(song.Folder), folder)
        {
            Options = new() { ThreadCount = threads },
            AllowOutside = allowOutside,
            LockPath = Path.Combine(folder, ResultFiles.Lock),
        };
        using var run = GraphRun.Open(order, setting);
        var outcome = run.Render(progress);
        if (outcome.Report is not { } report)
            return (Failed(song, outcome.Diagnostics), false);
        try
        {
            var result = ResultOf(song, order, run.Graph, outcome, report);
            if (source is not null && SongMemory.Of(source, result, folder, order.LockPath, setting.Cancellation) is { } remembered)
                TextFile.Write(memoryPath, remembered.Write);
            return (result, outcome.Status == RunStatus.UpToDate);
        }
        catch (StemException failure)
        {
            outcome.Diagnostics.Add(new(failure.Code, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
        }
        catch (OutputException failure)
        {
            outcome.Diagnostics.Add(new(DiagnosticCode.OutputUnwritable, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            outcome.Diagnostics.Add(new(
                DiagnosticCode.OutputUnwritable, Say.Path(memoryPath), default, $"it cannot be written ({failure.Message.TrimEnd('.')})", "Make room, or allow yourself to write there, and run the batch again"));
        }

        return (Failed(song, outcome.Diagnostics), false);
    }

    private SongResult ResultOf(Song song, RunOrder order, OpenGraph? opened, RunOutcome outcome, RenderReport report)
    {
        // Of a song that was there, only what was told of it is missing.
        using var reopened = opened is null ? Reopen(order) : null;
        var open = opened ?? reopened!;
        var result = report.Result;
        var source = SongSource.OfGraph(open);
        using var analysis = SongAnalysis.Measure(source.Stems, source.SampleRateHz, source.Told, threads, setting.Cancellation);
        var mix = result.Outputs.FirstOrDefault(output => output.Output == "mix") ?? result.Outputs[0];
        var anchor = analysis.Anchor is { } found
            ? new SongAnchor(
                analysis.Map.Stems[found.Stem].Name, Rounded(found.Dominant?.FrequencyHz, 1), found.IsFrequencyTold, found.IsFrequencyTold ? null : Rounded(found.Dominant?.Confidence, 2), found.Hits.Count)
            : null;
        var measures = new SongMeasures(
            Rounded(mix.Summary.Frames / (double)result.SampleRateHz, 3)!.Value, anchor, Rounded(analysis.Collisions?.ClearanceDb, 2), mix.Output, BalanceOf(mix.Path));
        var gates = GatesOf(report.Gates);
        var findings = outcome.Diagnostics.InOrder.Select(finding => FindingOf(song, finding)).ToList();
        return new(
            song.Name, SongStates.OfExitCode(outcome.ExitCode), open.Loaded.Document.Title, outcome.Verdict is { } verdict ? CompareReport.Words(verdict.Kind) : null, measures,
            [.. result.Outputs.Select(output => new SongOutput(output.Output, RelativeTo(OutFolderOf(song), output.Path), ContentHash.OfFile(output.Path, setting.Cancellation)?.Xxh128 ?? ""))],
            gates, [.. StemAdvice.Of(analysis, open.Loaded.Document.TempoBpm), .. GateAdvice(gates), .. VerdictAdvice(outcome.Verdict)], findings)
        {
            Stems = [.. open.Loaded.Document.Stems.Select(stem => new SongStem(stem.Id, stem.File.Value, stem.TakenBy))],
            Dropped = open.Loaded.Document.Origin?.Dropped ?? [],
        };
    }

    private OpenGraph Reopen(RunOrder order)
    {
        var diagnostics = new DiagnosticList();
        var document = order.Graph.Read(setting.Catalog, diagnostics);
        return (document is null ? null : OpenGraph.Open(order, document, RunLock.AnchorOf(order, document, setting), setting, diagnostics))
            ?? throw new StemException(DiagnosticCode.StemUnreadable, order.Graph.Place.Folder, "the song changed while it was looked at", "Leave it alone while the batch runs, and run the batch again");
    }

    private static IEnumerable<SongAdvice> GateAdvice(IReadOnlyList<SongGate> gates) =>
        gates.Where(gate => gate.State == "failed").Select(gate => new SongAdvice(AdviceKinds.Gate, null, $"a gate does not hold: {gate.Subject}", null, gate.Reason, null));

    private static IEnumerable<SongAdvice> VerdictAdvice(Verdict? verdict) => verdict is null or { Kind: VerdictKind.Helped }
        ? []
        : [new(AdviceKinds.Verdict, null, $"the treatment {CompareReport.Words(verdict.Kind)}", null, verdict.Reason, AdviceKinds.Try(AdviceKinds.Verdict))];

    private static IReadOnlyList<SongGate> GatesOf(GateReport report) =>
    [
        .. report.Results.Select(result => new SongGate(
            result.Gate.Subject, !result.IsJudged ? "notJudged" : result.Holds ? "holds" : "failed", Rounded(result.Value, 4),
            result.IsJudged && !result.Holds ? SentenceOf(report.Fault(result)) : null)),
    ];

    private static string SentenceOf(Diagnostic fault) => $"{fault.Sentence}. {fault.Remedy}.";

    private IReadOnlyList<double?> BalanceOf(string file)
    {
        using var reader = setting.Files.OpenStem(new(file), (_, _, _, _) => { })
            ?? throw new StemException(DiagnosticCode.StemUnreadable, file, "what was just written cannot be read back", "Look whether another program holds it");
        using var map = LowEndMap.Measure([new("mix", reader)], reader.Format.SampleRateHz, threads, setting.Cancellation);
        var whole = Say.LevelDbfs(Math.Sqrt(map.Stems[0].Facts.MeanPower));
        return [.. map.Stems[0].LowEnd.RangesDbfs.Select(level => whole is null ? null : Rounded(level - whole, 2))];
    }

    private SongResult Failed(Song song, DiagnosticList diagnostics) =>
        SongResult.Failed(song.Name, SongStates.OfExitCode(ExitCode.Of(diagnostics)), [.. diagnostics.InOrder.Select(finding => FindingOf(song, finding))]);

    /// <summary>Files of the song and of its outputs are named from there, so that the same is told on every machine.</summary>
    private SongFinding FindingOf(Song song, Diagnostic diagnostic)
    {
        var path = Path.GetFullPath(diagnostic.File);
        var file = path == Path.GetFullPath(recipe.Path) ? recipe.FileName : RelativeTo(OutFolderOf(song), RelativeTo(Path.GetFullPath(song.Folder), path));
        return new(diagnostic.Severity == Severity.Error, diagnostic.Code.Text(), (diagnostic with { File = Plain.Of(file) }).ToString());
    }

    private string OutFolderOf(Song song) => Path.Combine(Path.GetFullPath(outFolder), song.Name);

    private static string RelativeTo(string folder, string path) => PhysicalPath.IsWithin(path, folder) ? Path.GetRelativePath(folder, path).Replace(Path.DirectorySeparatorChar, '/') : path;

    private static double? Rounded(double? value, int digits) => value is { } number ? Math.Round(number, digits, MidpointRounding.AwayFromZero) : null;
}
