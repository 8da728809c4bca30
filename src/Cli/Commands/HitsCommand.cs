using System.CommandLine;
using System.Globalization;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Cli.Commands;

/// <summary><c>hits</c>: when the anchor of a graph, or what is in an audio file, hits, and on which note; as a file of hits to be edited, if wanted.</summary>
internal static class HitsCommand
{
    public static Command Create(CommandSetting setting)
    {
        var sound = new Argument<string>(Options.GraphName) { Description = "The graph whose anchor is listened to; or an audio file." };
        var outFile = Options.Text("--out", Options.FileName, "Write the hits into this text file (seconds,strength), to be edited and named by an anchor's \"hits\".");
        var force = new Option<bool>("--force") { Description = "Write over a file that is there." };
        var allowOutside = Options.AllowOutside();
        var json = Options.Json();
        var command = new Command("hits", "Find when the anchor hits, how hard, and on which note.") { sound, outFile, force, allowOutside, json };
        command.SetAction(parsed =>
        {
            var (path, target, asJson) = (parsed.GetValue(sound)!, parsed.GetValue(outFile), parsed.GetValue(json));
            if (target is not null && File.Exists(target) && !parsed.GetValue(force))
            {
                setting.Terminal.Error.WriteLine($"rendergraph hits: {target} is there already and may have been edited. Give another name, or add --force to write over it.");
                return ExitCode.GraphWrong;
            }

            return path.EndsWith(".json", StringComparison.OrdinalIgnoreCase) ? OfGraph(setting, path, target, parsed.GetValue(allowOutside), asJson) : OfFile(setting, path, target, asJson);
        });
        return command;
    }

    private static int OfGraph(CommandSetting setting, string path, string? target, bool allowOutside, bool asJson) =>
        OpenGraph.Use(setting, path, asJson, allowOutside, open =>
        {
            var (document, rateHz) = (open.Loaded.Document, open.Plan.SampleRateHz);
            if (document.Anchor is not { } anchor)
            {
                open.Diagnostics.Add(new(DiagnosticCode.MissingAnchor, document.File, document.At, "the graph has no anchor to listen to", "Add \"anchor\": { \"stem\": ... }, or name an audio file instead of the graph"));
                return Refuse(setting, open.Diagnostics, asJson);
            }

            var stem = document.Stems.Single(entry => entry.Id == anchor.Stem.Value);
            return Listen(setting, open.Loaded.Stems.Readers[stem.Id], anchor, Planner.StartFrame(stem, rateHz), target, asJson, open.Diagnostics);
        });

    private static int OfFile(CommandSetting setting, string path, string? target, bool asJson)
    {
        var diagnostics = new DiagnosticList();
        using var reader = setting.Files.OpenStem(
            new(Path.GetFullPath(path)), (code, severity, sentence, remedy) => diagnostics.Add(new(code, path, default, sentence, remedy, severity)));
        diagnostics.WriteTo(setting.Terminal.Error);
        if (reader is not null)
            return Listen(setting, reader, new(new(Path.GetFileName(path), default), null, default), 0, target, asJson, diagnostics);
        return OpenGraph.Refuse(setting.Terminal, diagnostics, asJson);
    }

    /// <summary>What has not been measured yet is measured now.</summary>
    /// <param name="startFrame">Where the stem begins in the song.</param>
    private static int Listen(CommandSetting setting, IStemReader reader, AnchorEntry anchor, long startFrame, string? target, bool asJson, DiagnosticList diagnostics)
    {
        var rateHz = reader.Format.SampleRateHz;
        try
        {
            var hits = anchor.Measures?.Hits ?? [.. setting.Anchor.Hits(reader).Select(hit => hit with { Frame = hit.Frame + startFrame }).Where(hit => hit.Frame >= 0)];
            var frequency = anchor.Measures?.Frequency
                ?? setting.Anchor.Frequency(reader, [.. hits.Select(hit => hit with { Frame = hit.Frame - startFrame }).Where(hit => hit.Frame >= 0)]);
            anchor = anchor with { ToldFrequencyHz = null, Measures = new(hits, frequency) };
            if (target is not null)
                TextFile.Write(target, writer => HitsFile.Write(writer, hits, rateHz));
        }
        catch (StemException failure)
        {
            diagnostics.Add(new(failure.Code, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
            return Refuse(setting, diagnostics, asJson);
        }
        catch (Exception failure) when (target is not null && failure is IOException or UnauthorizedAccessException)
        {
            diagnostics.Add(new(DiagnosticCode.OutputUnwritable, target!, default, $"the hits could not be written ({failure.Message.TrimEnd('.')})", "See that the folder is there and that you may write into it"));
            return Refuse(setting, diagnostics, asJson);
        }

        if (asJson)
        {
            StrictJson.WriteObject(setting.Terminal.Out, json =>
            {
                json.WriteBoolean("ok", true);
                json.WriteAnchor(anchor, rateHz);
                json.WriteFindings(diagnostics);
            });
            return ExitCode.Done;
        }

        WriteText(setting.Terminal, anchor, rateHz);
        if (target is not null)
            setting.Terminal.Out.WriteLine($"\n  Written to {target}.");
        return ExitCode.Done;
    }

    private static void WriteText(Terminal terminal, AnchorEntry anchor, int sampleRateHz)
    {
        terminal.Out.WriteWrapped(AnchorText.Line(anchor, sampleRateHz), terminal.WidthColumns);
        if (anchor.Measures!.Hits!.Count == 0)
            return;
        var table = new TextTable(">hit", ">at", ">strength");
        foreach (var (hit, index) in anchor.Measures.Hits.Select((hit, index) => (hit, index)))
            table.Add(Say.Whole(index + 1), SongTime.Write(hit.Frame / (double)sampleRateHz), hit.Strength.ToString("0.00", CultureInfo.InvariantCulture));
        terminal.Out.WriteLine();
        table.WriteTo(terminal.Out, terminal.WidthColumns);
    }

    private static int Refuse(CommandSetting setting, DiagnosticList diagnostics, bool asJson)
    {
        setting.Terminal.Error.WriteLine(diagnostics.InOrder.Last(found => found.Severity == Severity.Error).ToString());
        return OpenGraph.Refuse(setting.Terminal, diagnostics, asJson);
    }
}
