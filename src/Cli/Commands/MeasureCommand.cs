using System.CommandLine;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Measuring;

namespace RenderGraph.Cli.Commands;

/// <summary><c>measure</c>: loudness, peaks and crest factors of finished files.</summary>
internal static class MeasureCommand
{
    public static Command Create(CommandSetting setting)
    {
        var files = new Argument<string[]>(Options.FilesName) { Description = "Audio files.", Arity = ArgumentArity.OneOrMore };
        var json = Options.Json();
        var command = new Command("measure", "Measure the loudness, peaks and crest factors of audio files; writes nothing.") { files, json };
        command.SetAction(parsed => Run(setting, parsed.GetValue(files)!, parsed.GetValue(json)));
        return command;
    }

    private static int Run(CommandSetting setting, string[] paths, bool asJson)
    {
        var faults = new DiagnosticList[paths.Length];
        var measured = new MeasuredFile?[paths.Length];
        Parallel.For(0, paths.Length, index => measured[index] = Measure(setting, paths[index], faults[index] = new()));
        setting.Cancellation.ThrowIfCancellationRequested();

        var diagnostics = new DiagnosticList();
        foreach (var fault in faults.SelectMany(list => list.InOrder))
            diagnostics.Add(fault);
        diagnostics.WriteTo(setting.Terminal.Error);
        var files = measured.OfType<MeasuredFile>().ToList();
        if (asJson)
            WriteJson(setting.Terminal, files, diagnostics);
        else if (files.Count > 0)
            WriteText(setting.Terminal, files);
        return ExitCode.Of(diagnostics);
    }

    /// <summary>One file at a time; a bad one does not keep the others from being measured.</summary>
    private static MeasuredFile? Measure(CommandSetting setting, string path, DiagnosticList diagnostics)
    {
        try
        {
            using var reader = setting.Files.OpenStem(
                new(Path.GetFullPath(path)),
                (code, severity, sentence, remedy) => diagnostics.Add(new(code, path, default, sentence, remedy, severity)));
            if (reader is null)
                return null;
            return new(path, reader.Format, FileMeasuring.Measure(reader, MeterSet.Usual(setting.Catalog.Meters), setting.Cancellation));
        }
        catch (StemException failure)
        {
            diagnostics.Add(new(failure.Code, path, default, failure.Sentence, failure.Remedy));
        }
        catch (OperationCanceledException)
        {
            // Told once, for all files.
        }

        return null;
    }

    private static void WriteText(Terminal terminal, IReadOnlyList<MeasuredFile> files)
    {
        var (writer, width) = (terminal.Out, terminal.WidthColumns);
        MeasureTables.Write(
            writer, width, "file",
            [.. files.Select(file => new MeasuredRow(file.Path, Say.Length(file.Format.LengthFrames, file.Format.SampleRateHz), file.Measurements))]);
        writer.WriteLine();
        foreach (var rule in MeasureTables.Rules)
            writer.WriteMarked("- ", rule, width, indent: 2);
        if (files.Any(file => file.Format.Channels == 1))
            writer.WriteMarked("- ", "A mono file counts as one channel: 3 LU less than the same on both sides of a stereo file.", width, indent: 2);
    }

    private static void WriteJson(Terminal terminal, IReadOnlyList<MeasuredFile> files, DiagnosticList diagnostics) =>
        StrictJson.WriteObject(terminal.Out, json =>
        {
            json.WriteBoolean("ok", !diagnostics.HasErrors);
            json.WriteObjects("files", files, file =>
            {
                json.WriteString("file", file.Path);
                json.WriteNumber("sampleRateHz", file.Format.SampleRateHz);
                json.WriteNumber("channels", file.Format.Channels);
                json.WriteNumber("lengthFrames", file.Format.LengthFrames);
                json.WriteMeasurements(file.Measurements, file.Format.SampleRateHz);
            });
            json.WriteFindings(diagnostics);
        });

    /// <param name="Path">As it was typed.</param>
    private sealed record MeasuredFile(string Path, StemFormat Format, IReadOnlyList<Measurement> Measurements);
}
