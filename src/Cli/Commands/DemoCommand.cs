using System.CommandLine;
using System.Globalization;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Demo;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Rendering;

namespace RenderGraph.Cli.Commands;

/// <summary><c>demo</c>: a song of our own, its clean-up, and what that changed.</summary>
internal static class DemoCommand
{
    public static Command Create(CommandSetting setting)
    {
        var outFolder = Options.Folder("--out", $"Folder for everything. Left out: {DemoFolder.DefaultName}, here.");
        var command = new Command("demo", "Write a small song with a low-end collision, clean it up, and tell what changed.") { outFolder };
        command.SetAction(parsed => Run(setting, Path.GetFullPath(parsed.GetValue(outFolder) ?? DemoFolder.DefaultName)));
        return command;
    }

    private static int Run(CommandSetting setting, string folder)
    {
        try
        {
            DemoFolder.Write(folder, setting.Files, setting.Cancellation);
            return OpenGraph.Use(setting, Path.Combine(folder, DemoFolder.MainGraph), asJson: false, allowOutside: false, open =>
            {
                var result = RenderWatch.Run(setting.Terminal, open.Plan.SampleRateHz, progress => Renderer.Render(
                    open.Plan, open.Loaded.Stems.Readers, open.Loaded.Targets, setting.Files, new RenderOptions(), progress, setting.Cancellation));
                Write(setting.Terminal, folder, open, result, DemoComparison.Measure(open, setting.Cancellation));
                return ExitCode.Done;
            });
        }
        catch (OutputException fault)
        {
            setting.Terminal.Error.WriteLine(new Diagnostic(DiagnosticCode.OutputUnwritable, fault.Path, default, fault.Sentence, fault.Remedy).ToString());
            return ExitCode.OutputUnwritable;
        }
    }

    private static void Write(Terminal terminal, string folder, OpenGraph open, RenderResult result, DemoComparison comparison)
    {
        var (writer, width) = (terminal.Out, terminal.WidthColumns);
        writer.WriteLine($"{DemoScore.Title}: {Say.Length(DemoScore.LengthFrames, DemoScore.SampleRateHz)}, {DemoSong.Stems.Count} stems, {DemoScore.Kicks.Count} hits of the kick at {DemoScore.KickHz.ToString(CultureInfo.InvariantCulture)} Hz");
        writer.WriteLine();

        var files = new TextTable("wrote", ">length", ">peak", ">clipped", "what it is");
        foreach (var output in result.Outputs)
        {
            files.Add(
                Say.Path(output.Path), Say.Length(output.Summary.Frames, result.SampleRateHz), Say.Level(output.Summary.PeakAmplitude),
                Say.Whole(output.Summary.ClippedSamples), output.Output == "mix" ? "the full mix" : "what a subwoofer would play of it");
        }

        files.WriteTo(writer, width);
        writer.WriteWrapped($"The stems are in {Say.Path(Path.Combine(folder, "stems"))}, the graph is {Say.Path(Path.Combine(folder, DemoFolder.MainGraph))}.", width, indent: 2);

        writer.WriteLine();
        writer.WriteLine("  measured, everything bypassed against the graph as it is");
        writer.WriteLine();
        var levels = new TextTable($"{DemoComparison.Band.Name} while the kick hits", ">bypassed", ">as it is", ">change");
        foreach (var part in comparison.Parts)
            AddChange(levels, part.Part, part.LevelDbfs, "dBFS");
        AddChange(levels, "kick, both microphones", comparison.AnchorDbfs, "dBFS");
        AddChange(levels, "kick above sub and grit", comparison.ClearanceDb, "dB");
        AddChange(levels, "peak of the whole mix", new(PeakDbfs(comparison.MixPeakAmplitude.Before), PeakDbfs(comparison.MixPeakAmplitude.After)), "dBFS");
        levels.WriteTo(writer, width);
        writer.WriteLine();
        writer.WriteWrapped(
            $"Up to {Say.Length(comparison.SameFramesBeforeFirstHit, result.SampleRateHz)} the sub is the same, bit for bit, with and without its keyed cut; "
            + $"the first hit is at {Say.Length(DemoScore.Kicks[0].StartFrame, result.SampleRateHz)}, and the cut begins to fall just before it.",
            width, indent: 2);

        writer.WriteLine();
        writer.WriteWrapped(
            "Before you listen: start quiet. The monitor file is nearly all low end: small speakers play little of it and can be damaged by it, and it tempts one to turn up.",
            width, indent: 2);
        writer.WriteLine();
        writer.WriteLine($"  next: edit the graph and run  rendergraph render {Say.Path(Path.Combine(folder, DemoFolder.MainGraph))}");
    }

    private static void AddChange(TextTable table, string what, LevelChange change, string unit)
    {
        var difference = change.After - change.Before;
        table.Add(what, $"{Say.Decimal(change.Before)} {unit}", $"{Say.Decimal(change.After)} {unit}", $"{(difference >= 0.05 ? "+" : "")}{Say.Decimal(difference)} dB");
    }

    private static double PeakDbfs(double amplitude) => Say.LevelDbfs(amplitude) ?? double.NegativeInfinity;
}
