using System.CommandLine;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Rendering;

namespace RenderGraph.Cli.Commands;

/// <summary><c>verify</c>: renders a graph once more and holds the bytes against its lock.</summary>
internal static class VerifyCommand
{
    public static Command Create(CommandSetting setting)
    {
        var graph = Options.Graph();
        var outFolder = Options.Folder("--out", "Folder that the outputs were rendered into. Left out: beside the graph.");
        var threads = Options.Threads();
        var allowOutside = Options.AllowOutside();
        var json = Options.Json();
        var command = new Command("verify", "Render again, into a temporary folder, and compare the bytes with the lock; changes nothing.") { graph, outFolder, threads, allowOutside, json };
        command.SetAction(parsed =>
        {
            var standard = new RenderOptions();
            var order = new RunOrder(GraphSource.OfFile(parsed.GetValue(graph)!), parsed.GetValue(outFolder))
            {
                Options = standard with { ThreadCount = parsed.GetValue(threads) ?? standard.ThreadCount },
                AllowOutside = parsed.GetValue(allowOutside),
                LockPath = GraphSource.LockPathOf(parsed.GetValue(graph)!),
            };
            return Run(setting, order, parsed.GetValue(json));
        });
        return command;
    }

    private static int Run(CommandSetting setting, RunOrder order, bool asJson)
    {
        var diagnostics = new DiagnosticList();
        var verified = Verification.Run(order, setting, diagnostics, (rateHz, render) => RenderWatch.Run(setting.Terminal, rateHz, render));
        diagnostics.WriteTo(setting.Terminal.Error);
        if (verified is null)
            return OpenGraph.Refuse(setting.Terminal, diagnostics, asJson);

        if (asJson)
            WriteJson(setting.Terminal, verified, diagnostics);
        else
            WriteText(setting.Terminal, verified);
        return verified.IsSame ? ExitCode.Done : ExitCode.GateFailed;
    }

    private static void WriteText(Terminal terminal, Verification verified)
    {
        var (writer, width) = (terminal.Out, terminal.WidthColumns);
        writer.WriteLine($"{verified.Title}: {(verified.IsSame ? "the same bytes as in the lock." : "not what the lock has.")}");
        writer.WriteLine();
        var table = new TextTable("output", "rendered again", "the file there", ">first difference", ">samples", ">largest", ">at");
        foreach (var output in verified.Outputs)
        {
            table.Add(
                Say.Path(output.Path), !output.IsRendered ? "no longer in the graph" : output.OnDisk == FileState.Unknown ? "not in the lock" : output.IsSame ? "same" : "differs", Words(output.OnDisk),
                At(output.Difference?.FirstFrame), output.Difference is { } difference ? Say.Whole(difference.SampleCount) : "-",
                output.Difference is { PeakAmplitude: var peak } ? Say.Level(peak) : "-", At(output.Difference?.PeakFrame));
        }

        table.WriteTo(writer, width);
        if (verified.Outputs.Any(output => output.Difference is not null))
            writer.WriteWrapped("Differences are between the file there and what was rendered now.", width, indent: 2);
        if (verified.Outputs.Any(output => output is { IsSame: false, IsRendered: true, Difference: null, OnDisk: not FileState.Unknown }))
            writer.WriteWrapped("Where no figures stand, no file of the same shape is left to compare with.", width, indent: 2);
        writer.WriteLine();
        foreach (var reason in Why(verified))
            writer.WriteMarked("- ", reason, width, indent: 2);

        string At(long? frame) => frame is { } there ? Say.Length(there, verified.SampleRateHz) : "-";
    }

    private static void WriteJson(Terminal terminal, Verification verified, DiagnosticList diagnostics) => StrictJson.WriteObject(terminal.Out, json =>
    {
        json.WriteBoolean("ok", verified.IsSame);
        json.WriteString("title", verified.Title);
        json.WriteNumber("sampleRateHz", verified.SampleRateHz);
        json.WriteObjects("outputs", verified.Outputs, output =>
        {
            json.WriteString("file", output.Path);
            json.WriteString("renderedAgain", !output.IsRendered ? "notInGraph" : output.OnDisk == FileState.Unknown ? "notInLock" : output.IsSame ? "same" : "differs");
            json.WriteString("fileThere", output.OnDisk switch { FileState.AsRendered => "asRendered", FileState.Altered => "altered", FileState.Missing => "missing", _ => "unknown" });
            json.WriteFinite("differentSamples", output.Difference?.SampleCount);
            json.WriteFinite("firstDifferenceSeconds", output.Difference?.FirstFrame / (double)verified.SampleRateHz);
            json.WriteFinite("largestDifferenceDbfs", output.Difference is { PeakAmplitude: var peak } ? Say.LevelDbfs(peak) : null);
            json.WriteFinite("largestDifferenceSeconds", output.Difference?.PeakFrame / (double)verified.SampleRateHz);
        });
        json.WriteStartArray("why");
        foreach (var reason in Why(verified))
            json.WriteStringValue(reason);
        json.WriteEndArray();
        json.WriteFindings(diagnostics);
    });

    /// <summary>What has changed since; of bytes that differ although nothing has, that it is a fault.</summary>
    private static IEnumerable<string> Why(Verification verified)
    {
        foreach (var reason in verified.Reasons)
            yield return Sentence(reason.Sentence);
        foreach (var output in verified.Outputs.Where(output => output.OnDisk == FileState.Altered))
            yield return $"Output {output.File} was altered after it was rendered.";
        if (verified.Reasons.Count == 0 && verified.Outputs.Any(output => !output.IsSame))
            yield return "Nothing that the outputs are made of has changed: either the lock was, or the same engine gave other bytes, which is a fault in rendergraph. Please report it.";
    }

    private static string Sentence(string words) => string.Concat(char.ToUpperInvariant(words[0]), words[1..], ".");

    private static string Words(FileState state) => state switch { FileState.AsRendered => "as rendered", FileState.Altered => "altered", FileState.Missing => "not there", _ => "-" };
}
