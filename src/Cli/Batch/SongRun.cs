using RenderGraph.Cli.Analysis;
using RenderGraph.Cli.Commands;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes.Measures;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Nodes.Measures.Stems;

namespace RenderGraph.Cli.Batch;

/// <summary>One song of a batch: the recipe's graph is rendered into a folder of the song's own, stems and mix are measured, and what is to be told is put together. Writes nothing into the song's folder.</summary>
internal sealed class SongRun(RunSetting setting, BatchRecipe recipe, string outFolder, int threads, bool allowOutside)
{
    /// <summary>Runs.</summary>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public (SongResult Result, bool WasThere) Run(Song song, Action<RenderProgress> progress)
    {
        if (!Directory.Exists(song.Folder))
        {
            return (SongResult.Failed(song.Name, SongState.Unreadable, [FindingOf(song, new(
                DiagnosticCode.StemMissing, song.Folder, default, "there is no such folder", "Look at how it is spelled, and from which folder it counts"))]), false);
        }

        var order = new RunOrder(recipe.For(song.Folder), OutFolderOf(song)) { Options = new() { ThreadCount = threads }, AllowOutside = allowOutside };
        using var run = GraphRun.Open(order, setting);
        var outcome = run.Render(progress);
        if (outcome.Report is null || run.Graph is not { } open)
            return (Failed(song, outcome.Diagnostics), false);
        try
        {
            return (ResultOf(song, open, outcome), false);
        }
        catch (StemException failure)
        {
            outcome.Diagnostics.Add(new(failure.Code, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
        }
        catch (OutputException failure)
        {
            outcome.Diagnostics.Add(new(DiagnosticCode.OutputUnwritable, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
        }

        return (Failed(song, outcome.Diagnostics), false);
    }

    private SongResult ResultOf(Song song, OpenGraph open, RunOutcome outcome)
    {
        var result = outcome.Result!;
        var source = SongSource.OfGraph(open);
        using var analysis = SongAnalysis.Measure(source.Stems, source.SampleRateHz, source.Told, threads, setting.Cancellation);
        var mix = result.Outputs.FirstOrDefault(output => output.Output == "mix") ?? result.Outputs[0];
        var anchor = analysis.Anchor is { } found
            ? new SongAnchor(
                analysis.Map.Stems[found.Stem].Name, Rounded(found.Dominant?.FrequencyHz, 1), found.IsFrequencyTold, found.IsFrequencyTold ? null : Rounded(found.Dominant?.Confidence, 2), found.Hits.Count)
            : null;
        var measures = new SongMeasures(
            Rounded(mix.Summary.Frames / (double)result.SampleRateHz, 3)!.Value, anchor, Rounded(analysis.Collisions?.ClearanceDb, 2), mix.Output, BalanceOf(mix.Path));
        var gates = GatesOf(outcome.Report!.Gates);
        var findings = outcome.Diagnostics.InOrder.Select(finding => FindingOf(song, finding)).ToList();
        return new(
            song.Name, SongStates.OfExitCode(outcome.ExitCode), open.Loaded.Document.Title, null, measures,
            [.. result.Outputs.Select(output => new SongOutput(output.Output, RelativeTo(OutFolderOf(song), output.Path), ContentHash.OfFile(output.Path)))],
            gates, [.. StemAdvice.Of(analysis, open.Loaded.Document.TempoBpm), .. GateAdvice(gates)], findings);
    }

    private static IEnumerable<SongAdvice> GateAdvice(IReadOnlyList<SongGate> gates) =>
        gates.Where(gate => gate.State == "failed").Select(gate => new SongAdvice(AdviceKinds.Gate, null, $"a gate does not hold: {gate.Subject}", null, gate.Reason, null));

    private static IReadOnlyList<SongGate> GatesOf(GateReport report) =>
    [
        .. report.Results.Select(result => new SongGate(
            result.Gate.Subject, !result.IsJudged ? "notJudged" : result.Holds ? "holds" : "failed", Rounded(result.Measurement?.Value, 4),
            result.IsJudged && !result.Holds ? SentenceOf(report.Fault(result)) : null)),
    ];

    private static string SentenceOf(Diagnostic fault) => $"{fault.Sentence}. {fault.Remedy}.";

    private IReadOnlyList<double?> BalanceOf(string file)
    {
        using var reader = setting.Files.OpenStem(new(file), (_, _, _, _) => { }) ?? throw new StemException(DiagnosticCode.StemUnreadable, file, "what was just written cannot be read back", "Look whether another program holds it");
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
