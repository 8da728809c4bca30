using System.CommandLine;
using RenderGraph.Cli.Analysis;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Proposing;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.Measures;

namespace RenderGraph.Cli.Commands;

/// <summary><c>propose</c>: from a folder of stems to a graph that cleans them up, each choice rendered and kept because it helped.</summary>
internal static class ProposeCommand
{
    private const string DefaultName = "clean-up.json";
    private const double StandardClearanceDb = 6;

    public static Command Create(CommandSetting setting)
    {
        var stems = Options.Stems();
        var outFile = Options.Text("--out", Options.GraphFileName, $"The graph to be written. Left out: {DefaultName} in the folder of the stems.");
        var force = new Option<bool>("--force") { Description = "Write over a graph that is there." };
        var clearance = Options.Number("--clearance", Options.DecibelsName, 0, 24, $"How far the anchor is to stand above everything else in its own band. Left out: {StandardClearanceDb}.");
        var anchor = Options.Anchor();
        var threads = Options.Threads();
        var json = Options.Json();
        var command = new Command("propose", "Write a graph that cleans up a folder of stems: what is proposed was rendered and kept because it helped.")
        {
            stems, outFile, force, clearance, anchor, threads, json,
        };
        command.SetAction(parsed =>
        {
            var folder = parsed.GetValue(stems)!;
            var order = new Order(
                folder, Path.GetFullPath(parsed.GetValue(outFile) ?? Path.Combine(folder, DefaultName)), parsed.GetValue(force), parsed.GetValue(clearance) ?? StandardClearanceDb,
                parsed.GetValue(anchor), parsed.GetValue(threads) ?? Environment.ProcessorCount, parsed.GetValue(json));
            return Run(setting, order);
        });
        return command;
    }

    private static int Run(CommandSetting setting, Order order)
    {
        var diagnostics = new DiagnosticList();
        if (File.Exists(order.GraphPath) && !order.MayOverwrite)
        {
            diagnostics.Add(new(
                DiagnosticCode.OutputUnwritable, Say.Path(order.GraphPath), default, "this file is there already, and would be overwritten", "Allow it with --force, or name another with --out"));
            return Refuse(setting, order, diagnostics);
        }

        using var folder = StemFolder.Open(setting, order.Folder, except: null, diagnostics);
        var source = folder.Stems.Count == 0 || diagnostics.HasErrors ? null : SongSource.OfFolder(folder).WithAnchor(order.Anchor, diagnostics);
        if (source is null)
            return Refuse(setting, order, diagnostics);
        diagnostics.WriteTo(setting.Terminal.Error);

        var since = new DiagnosticList();
        try
        {
            using var analysis = SongAnalysis.Measure(source.Stems, source.SampleRateHz, source.Told, order.Threads, setting.Cancellation);
            using var trial = new Trial(
                setting, Path.GetFullPath(order.Folder), analysis.Anchor?.Hits ?? [], analysis.Anchor?.Dominant?.FrequencyHz ?? 0, order.Threads);
            var proposal = new Proposer(folder, analysis, new(order.ClearanceDb, StemsFolder(order)), trial.Render, trial.Reach).Make();
            if (proposal.Graph is { } graph)
                Write(order.GraphPath, graph.Write());
            var report = new ProposalReport(source, analysis, proposal, order.GraphPath, order.ClearanceDb);
            if (order.AsJson)
                report.WriteJson(setting.Terminal.Out, diagnostics);
            else
                report.WriteText(setting.Terminal);
            return ExitCode.Done;
        }
        catch (StemException failure)
        {
            since.Add(new(failure.Code, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
        }
        catch (OutputException failure)
        {
            since.Add(new(DiagnosticCode.OutputUnwritable, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
        }

        return Refuse(setting, order, since);
    }

    private static int Refuse(CommandSetting setting, Order order, DiagnosticList diagnostics)
    {
        diagnostics.WriteTo(setting.Terminal.Error);
        return OpenGraph.Refuse(setting.Terminal, diagnostics, order.AsJson);
    }

    // From the graph's folder to the stems, as a graph writes it.
    private static string StemsFolder(Order order)
    {
        var relative = Path.GetRelativePath(Path.GetDirectoryName(order.GraphPath)!, Path.GetFullPath(order.Folder)).Replace('\\', '/');
        return relative == "." ? "" : relative.TrimEnd('/') + "/";
    }

    private static void Write(string path, string text)
    {
        try
        {
            Directory.CreateDirectory(Path.GetDirectoryName(path)!);
            TextFile.Write(path, writer => writer.Write(text));
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            throw new OutputException(path, $"the graph could not be written ({failure.Message.TrimEnd('.')})", "Name another place with --out", failure);
        }
    }

    private sealed record Order(string Folder, string GraphPath, bool MayOverwrite, double ClearanceDb, string? Anchor, int Threads, bool AsJson);
}
