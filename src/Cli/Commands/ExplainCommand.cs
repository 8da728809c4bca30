using System.CommandLine;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Locks;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Cli.Commands;

/// <summary><c>explain</c>: why a render would or would not render, by the walk that decides it.</summary>
internal static class ExplainCommand
{
    public static Command Create(CommandSetting setting)
    {
        var graph = Options.Graph();
        var outFolder = Options.Folder("--out", "Folder of the outputs. Left out: beside the graph.");
        var allowOutside = Options.AllowOutside();
        var json = Options.Json();
        var command = new Command("explain", "Tell why a render would, or would not, render again; changes nothing.") { graph, outFolder, allowOutside, json };
        command.SetAction(parsed =>
        {
            var order = new RunOrder(GraphSource.OfFile(parsed.GetValue(graph)!), parsed.GetValue(outFolder))
            {
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
        var held = order.Graph.Read(setting.Catalog, diagnostics) is { } document && !diagnostics.HasErrors ? RunLock.Open(order, document, setting, diagnostics) : null;
        diagnostics.WriteTo(setting.Terminal.Error);
        if (held is null)
            return OpenGraph.Refuse(setting.Terminal, diagnostics, asJson);

        var reasons = held.Reasons.ToList();
        if (asJson)
            WriteJson(setting.Terminal, held, reasons, diagnostics);
        else
            WriteText(setting.Terminal, held, reasons);
        return ExitCode.Done;
    }

    private static void WriteText(Terminal terminal, RunLock held, List<StaleReason> reasons)
    {
        var (writer, width, document) = (terminal.Out, terminal.WidthColumns, held.Now.Document);
        var title = document.Title ?? Path.GetFileName(document.File);
        if (reasons.Count == 0)
        {
            writer.WriteWrapped($"{title}: render would do nothing. Engine, graph, {Count(held.Previous!.Inputs.Count, "input")} and {Count(held.Previous.Outputs.Count, "output")} are as {Say.Path(held.LockPath)} has them.", width);
        }
        else
        {
            writer.WriteLine($"{title}: render would render, because");
            foreach (var reason in reasons)
                writer.WriteMarked("- ", reason.Sentence, width, indent: 2);
        }

        if (AnchorWords(held) is { } anchor)
            writer.WriteWrapped(anchor, width);
    }

    private static void WriteJson(Terminal terminal, RunLock held, List<StaleReason> reasons, DiagnosticList diagnostics) => StrictJson.WriteObject(terminal.Out, json =>
    {
        json.WriteBoolean("ok", true);
        json.WriteBoolean("upToDate", reasons.Count == 0);
        json.WriteString("lock", held.LockPath);
        json.WriteObjects("reasons", reasons, reason =>
        {
            json.WriteString("kind", ParameterName.InGraph(reason.Kind.ToString()));
            json.WriteString("sentence", reason.Sentence);
        });
        json.WriteText("anchor", !GraphState.Listens(held.Now.Document) ? null : held.KeepsAnchor ? "fromTheLock" : "measuredAnew");
        json.WriteFindings(diagnostics);
    });

    /// <summary>What becomes of an anchor that is measured.</summary>
    private static string? AnchorWords(RunLock held) => !GraphState.Listens(held.Now.Document) ? null
        : held.KeepsAnchor ? "The anchor is not measured again: its stem and what the graph says of it are as the lock has them."
        : "The anchor would be measured anew.";

    private static string Count(int count, string word) => count == 1 ? $"its {word}" : $"{Say.Whole(count)} {word}s";
}
