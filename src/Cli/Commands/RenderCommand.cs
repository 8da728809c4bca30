using System.CommandLine;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Planning;
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
        var again = new Option<bool>("--again") { Description = "Render even if graph, stems and outputs are as the lock has them." };
        var measure = new Option<bool>("--measure") { Description = "Listen to the anchor anew, whatever the lock knows of it." };
        var locked = new Option<bool>("--locked") { Description = "Refuse whatever is not as the lock has it, and leave the lock alone: for CI." };
        var allowOutside = Options.AllowOutside();
        var json = Options.Json();
        var command = new Command("render", "Render the outputs of a graph.") { graph, outFolder, from, to, only, again, measure, locked, threads, blockFrames, allowOutside, json };
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

            var order = new RunOrder(GraphSource.OfFile(parsed.GetValue(graph)!), parsed.GetValue(outFolder))
            {
                Only = parsed.GetValue(only),
                Options = options,
                AllowOutside = parsed.GetValue(allowOutside),
                LockPath = GraphSource.LockPathOf(parsed.GetValue(graph)!),
                Again = parsed.GetValue(again),
                MeasureAnew = parsed.GetValue(measure),
                MustHold = parsed.GetValue(locked),
            };
            if (order is { MustHold: true, IsComplete: false })
                return Refuse(setting, "--locked is about the whole render, but a part of it is asked for. Leave out --locked, or --from, --to and --only.");

            return Run(setting, order, parsed.GetValue(json));
        });
        return command;
    }

    private static int Run(CommandSetting setting, RunOrder order, bool asJson)
    {
        using var run = GraphRun.Open(order, setting);
        run.Diagnostics.WriteTo(setting.Terminal.Error);
        if (run is { MustRender: true, Graph: { } open } && PartFault(order.Options, open.Plan) is { } fault)
            return Refuse(setting, fault);

        var toldCount = run.Diagnostics.Added.Count;
        var outcome = run.MustRender ? RenderWatch.Run(setting.Terminal, run.Graph!.Plan.SampleRateHz, run.Render) : run.Render(null);
        foreach (var finding in outcome.Diagnostics.Added.Skip(toldCount))
            setting.Terminal.Error.WriteLine(finding.ToString());
        if (outcome.Report is { } report)
            report.WriteTo(setting.Terminal, asJson);
        else if (asJson)
            OpenGraph.WriteRefusal(setting.Terminal, outcome.Diagnostics);
        return outcome.ExitCode;
    }

    /// <summary>Why the part asked for cannot be had of this song, or null.</summary>
    private static string? PartFault(RenderOptions options, RenderPlan plan)
    {
        var endSeconds = plan.Writes.Max(write => write.LengthFrames) / (double)plan.SampleRateHz;
        if (options.FromSeconds >= endSeconds)
            return $"--from {SongTime.Write(options.FromSeconds.Value)} lies behind the end of the song, {SongTime.Write(endSeconds)}.";
        return FrameAt(options.FromSeconds ?? 0) == FrameAt(options.ToSeconds ?? endSeconds)
            ? $"from {SongTime.Write(options.FromSeconds ?? 0)} to {SongTime.Write(options.ToSeconds ?? endSeconds)} there is not one frame to write."
            : null;

        // As the renderer rounds it.
        double FrameAt(double seconds) => Math.Round(seconds * plan.SampleRateHz, MidpointRounding.AwayFromZero);
    }

    private static int Refuse(CommandSetting setting, string sentence)
    {
        setting.Terminal.Error.WriteLine($"rendergraph render: {sentence}");
        return ExitCode.GraphWrong;
    }
}
