using System.CommandLine;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Rendering;

namespace RenderGraph.Cli.Commands;

/// <summary><c>render</c>: from a graph and stems to finished files.</summary>
internal static class RenderCommand
{
    private const int LeastBlockFrames = 16, MostBlockFrames = 65_536;

    public static Command Create(CommandSetting setting)
    {
        var graph = Options.Graph();
        var outFolder = Options.Folder("--out", "Folder of the outputs. Left out: beside the graph.");
        var from = Options.Time("--from", $"Write a part from here on: {SongTime.Wanted}.");
        var to = Options.Time("--to", "Write a part up to here.");
        var only = Options.Text("--only", Options.NodeName, "Write what one stem, node or step gives instead of the outputs, as NAME.only.wav.");
        var threads = Options.Threads();
        var blockFrames = Options.Count("--block-frames", LeastBlockFrames, MostBlockFrames, "Frames worked on at once. The bytes do not depend on it.");
        var allowOutside = Options.AllowOutside();
        var json = Options.Json();
        var command = new Command("render", "Render the outputs of a graph.") { graph, outFolder, from, to, only, threads, blockFrames, allowOutside, json };
        command.SetAction(parsed =>
        {
            var standard = new RenderOptions { FromSeconds = parsed.GetValue(from), ToSeconds = parsed.GetValue(to) };
            var options = standard with
            {
                ThreadCount = parsed.GetValue(threads) ?? standard.ThreadCount,
                BlockFrames = parsed.GetValue(blockFrames) ?? standard.BlockFrames,
            };
            if (options is { FromSeconds: { } start, ToSeconds: { } end } && start >= end)
                return Refuse(setting, $"--from {SongTime.Write(start)} must come before --to {SongTime.Write(end)}.");

            return Run(setting, parsed.GetValue(graph)!, parsed.GetValue(outFolder), parsed.GetValue(only), options, parsed.GetValue(allowOutside), parsed.GetValue(json));
        });
        return command;
    }

    private static int Run(CommandSetting setting, string graph, string? outFolder, string? only, RenderOptions options, bool allowOutside, bool asJson) =>
        OpenGraph.Use(setting, graph, outFolder, only, PartName(options), asJson, allowOutside, open =>
        {
            var endSeconds = open.Plan.Writes.Max(write => write.LengthFrames) / (double)open.Plan.SampleRateHz;
            if (options.FromSeconds >= endSeconds)
                return Refuse(setting, $"--from {SongTime.Write(options.FromSeconds.Value)} lies behind the end of the song, {SongTime.Write(endSeconds)}.");

            if (FrameAt(options.FromSeconds ?? 0) == FrameAt(options.ToSeconds ?? endSeconds))
                return Refuse(setting, $"from {SongTime.Write(options.FromSeconds ?? 0)} to {SongTime.Write(options.ToSeconds ?? endSeconds)} there is not one frame to write.");

            try
            {
                var result = RenderWatch.Run(setting.Terminal, open.Plan.SampleRateHz, progress => Renderer.Render(
                    open.Plan, open.Loaded.Stems.Readers, open.Loaded.Targets, setting.Files, options, progress, setting.Cancellation));
                return new RenderReport(open, result, options).WriteTo(setting.Terminal, asJson);
            }
            catch (StemException failure)
            {
                open.Diagnostics.Add(new(failure.Code, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
            }
            catch (OutputException failure)
            {
                open.Diagnostics.Add(new(DiagnosticCode.OutputUnwritable, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
            }

            return Fail(setting, open.Diagnostics, asJson);

            // As the renderer rounds it.
            double FrameAt(double seconds) => Math.Round(seconds * open.Plan.SampleRateHz, MidpointRounding.AwayFromZero);
        });

    /// <summary><c>0m12.5s-0m20s</c>: <c>mix.wav</c> is then <c>mix.0m12.5s-0m20s.wav</c>. Null for the whole song.</summary>
    private static string? PartName(RenderOptions options) => options is { FromSeconds: null, ToSeconds: null }
        ? null
        : $"{SongTime.WriteForFileName(options.FromSeconds ?? 0)}-{(options.ToSeconds is { } end ? SongTime.WriteForFileName(end) : "end")}";

    private static int Refuse(CommandSetting setting, string sentence)
    {
        setting.Terminal.Error.WriteLine($"rendergraph render: {sentence}");
        return ExitCode.GraphWrong;
    }

    /// <summary>Warnings have been told; what came since is told now.</summary>
    private static int Fail(CommandSetting setting, DiagnosticList diagnostics, bool asJson)
    {
        foreach (var error in diagnostics.InOrder.Where(diagnostic => diagnostic.Severity == Severity.Error))
            setting.Terminal.Error.WriteLine(error.ToString());
        if (asJson)
            OpenGraph.WriteRefusal(setting.Terminal, diagnostics);
        return ExitCode.Of(diagnostics);
    }
}
