using System.CommandLine;
using RenderGraph.Cli.Analysis;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.Measures;
using RenderGraph.Nodes.Measures.Checks;

namespace RenderGraph.Cli.Commands;

/// <summary><c>analyze</c>: who owns the low end, who collides, what to know before starting. Writes nothing.</summary>
internal static class AnalyzeCommand
{
    public static Command Create(CommandSetting setting)
    {
        var song = Options.Song();
        var against = Options.Text("--against", Options.FileName, "A reference mix: tells what is left when it is taken from the sum of the stems.");
        var anchor = Options.Anchor();
        var threads = Options.Threads();
        var allowOutside = Options.AllowOutside();
        var json = Options.Json();
        var command = new Command("analyze", "Tell who owns the low end of a song's stems, who collides with it, and what to know before starting; writes nothing.")
        {
            song, anchor, against, threads, allowOutside, json,
        };
        command.SetAction(parsed =>
        {
            var (reference, count, asJson) = (parsed.GetValue(against), parsed.GetValue(threads) ?? Environment.ProcessorCount, parsed.GetValue(json));
            return SongSource.Use(
                setting, parsed.GetValue(song)!, reference, parsed.GetValue(anchor), asJson, parsed.GetValue(allowOutside),
                (source, diagnostics) => Run(setting, source, reference, count, asJson, diagnostics));
        });
        return command;
    }

    private static int Run(CommandSetting setting, SongSource source, string? against, int threads, bool asJson, DiagnosticList diagnostics)
    {
        var since = new DiagnosticList();
        try
        {
            using var reference = against is null ? null : Reference(setting, against, source.SampleRateHz, since);
            if (against is null || reference is not null)
            {
                using var analysis = SongAnalysis.Measure(source.Stems, source.SampleRateHz, source.Told, threads, setting.Cancellation);
                var remainder = reference is null ? null : NullTest.Measure(source.Stems, reference, threads, setting.Cancellation);
                TellSince();
                if (asJson)
                    AnalysisJson.Write(setting.Terminal.Out, source, analysis, remainder, diagnostics);
                else
                    new AnalysisReport(setting.Terminal, source, analysis).Write(remainder);
                return ExitCode.Of(diagnostics);
            }
        }
        catch (StemException failure)
        {
            since.Add(new(failure.Code, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
        }
        catch (OutputException failure)
        {
            since.Add(new(DiagnosticCode.OutputUnwritable, failure.Path, default, failure.Sentence, failure.Remedy));
        }

        TellSince();
        return OpenGraph.Refuse(setting.Terminal, diagnostics, asJson);

        void TellSince()
        {
            since.WriteTo(setting.Terminal.Error);
            foreach (var diagnostic in since.InOrder)
                diagnostics.Add(diagnostic);
        }
    }

    private static IStemReader? Reference(CommandSetting setting, string path, int sampleRateHz, DiagnosticList diagnostics)
    {
        var reader = setting.Files.OpenStem(
            new(Path.GetFullPath(path)), (code, severity, sentence, remedy) => diagnostics.Add(new(code, path, default, sentence, remedy, severity)));
        return reader is null || reader.Format.SampleRateHz == sampleRateHz ? reader : setting.Files.ConvertRate(reader, sampleRateHz);
    }
}
