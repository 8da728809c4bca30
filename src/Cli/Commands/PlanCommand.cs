using System.CommandLine;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Cli.Commands;

/// <summary><c>plan</c>: what a render would do, in its order.</summary>
internal static class PlanCommand
{
    private const string Text = "text", Json = "json", Mermaid = "mermaid";

    public static Command Create(CommandSetting setting)
    {
        var graph = Options.Graph();
        var allowOutside = Options.AllowOutside();
        var format = Options.OneOf("--format", [Text, Json, Mermaid], "How to print it.");
        var command = new Command("plan", "Show what a render would do: order, latency, alignment, buffers.") { graph, format, allowOutside };
        command.SetAction(parsed =>
        {
            var asked = parsed.GetValue(format) ?? Text;
            return OpenGraph.Use(setting, parsed.GetValue(graph)!, asked == Json, parsed.GetValue(allowOutside), open =>
            {
                switch (asked)
                {
                    case Json: WriteJson(setting.Terminal, open); break;
                    case Mermaid: WriteMermaid(setting, open); break;
                    default: WriteText(setting.Terminal, open); break;
                }

                return ExitCode.Done;
            }, asRendered: true);
        });
        return command;
    }

    private static void WriteText(Terminal terminal, OpenGraph open)
    {
        var (writer, plan) = (terminal.Out, open.Plan);
        var table = new TextTable(">step", "name", "does", "channels", ">behind", ">plane", "takes");
        for (var index = 0; index < plan.Steps.Count; index++)
        {
            var step = plan.Steps[index];
            table.Add(
                Say.Whole(index), step.Name, Does(step, open), Say.Channels(step.Channels), Say.Whole(step.LatencyFrames),
                step.FirstBuffer < 0 ? "" : Say.Whole(step.FirstBuffer), string.Join(", ", step.Inputs.Select(input => plan.Steps[input].Name)));
        }

        writer.WriteLine(open.Title);
        writer.WriteLine();
        table.WriteTo(writer, terminal.WidthColumns);
        writer.WriteLine();
        writer.WriteWrapped($"anchor: {AnchorText.Line(open.Loaded.Document.Anchor, plan.SampleRateHz)}", terminal.WidthColumns, indent: 2);
        open.Loaded.Document.Origin?.WriteTo(writer, terminal.WidthColumns);
        writer.WriteLine($"  {plan.Steps.Count} steps, {plan.BufferCount} planes of samples for each worker, {Say.Whole(plan.SampleRateHz)} Hz.");
        writer.WriteWrapped(
            open.LatencyFrames == 0
                ? "No step is behind the stems."
                : $"The last is {Say.Latency(open.LatencyFrames, plan.SampleRateHz)} behind the stems; that is taken out of every output, so that it starts with the song.",
            terminal.WidthColumns, indent: 2);
    }

    private static void WriteJson(Terminal terminal, OpenGraph open) =>
        StrictJson.WriteObject(terminal.Out, json =>
        {
            var plan = open.Plan;
            json.WriteBoolean("ok", true);
            json.WriteText("title", open.Loaded.Document.Title);
            json.WriteNumber("sampleRateHz", plan.SampleRateHz);
            json.WriteNumber("lengthFrames", plan.LengthFrames);
            json.WriteAnchor(open.Loaded.Document.Anchor, plan.SampleRateHz);
            json.WriteOrigin(open.Loaded.Document.Origin);
            json.WriteNumber("planeCount", plan.BufferCount);
            json.WriteNumber("latencyFrames", open.LatencyFrames);
            json.WriteObjects("steps", plan.Steps, step =>
            {
                json.WriteString("name", step.Name);
                json.WriteString("does", Does(step, open));
                json.WriteStartArray("takes");
                foreach (var input in step.Inputs)
                    json.WriteStringValue(plan.Steps[input].Name);
                json.WriteEndArray();
                json.WriteNumber("channels", step.Channels);
                json.WriteNumber("latencyFrames", step.LatencyFrames);
                json.WriteFinite("plane", step.FirstBuffer < 0 ? null : step.FirstBuffer);
            });
            json.WriteFindings(open.Diagnostics);
        });

    /// <summary>A flowchart in Mermaid's text form; what only steers is dashed.</summary>
    private static void WriteMermaid(CommandSetting setting, OpenGraph open)
    {
        var plan = open.Plan;
        var writer = setting.Terminal.Out;
        writer.WriteLine("flowchart LR");
        for (var index = 0; index < plan.Steps.Count; index++)
        {
            var step = plan.Steps[index];
            var label = $"\"{Escape(step.Name)}<br/>{Escape(Does(step, open))}\"";
            writer.WriteLine(step switch
            {
                ReadStep => $"  s{Say.Whole(index)}([{label}])",
                WriteStep or MeasureStep => $"  s{Say.Whole(index)}[[{label}]]",
                _ => $"  s{Say.Whole(index)}[{label}]",
            });
        }

        for (var index = 0; index < plan.Steps.Count; index++)
        {
            for (var port = 0; port < plan.Steps[index].Inputs.Count; port++)
            {
                var arrow = IsKey(setting.Catalog, plan.Steps[index], port) ? "-.->" : "-->";
                writer.WriteLine($"  s{Say.Whole(plan.Steps[index].Inputs[port])} {arrow} s{Say.Whole(index)}");
            }
        }
    }

    private static bool IsKey(NodeCatalog catalog, PlanStep step, int input) =>
        step is NodeStep node && catalog.Find(node.Type) is { } type && type.Ports[Math.Min(input, type.Ports.Count - 1)].Kind == PortKind.Key;

    private static string Does(PlanStep step, OpenGraph open) => step switch
    {
        ReadStep { IsSilenced: true } => "silence (muted)",
        ReadStep read => "read" + (read.GainDb != 0 ? $" {ParameterName.Write(read.GainDb)} dB" : "")
            + (open.Loaded.Stems.Formats[read.Stem].ConvertedFromHz is { } rateHz ? $", from {Say.Whole(rateHz)} Hz" : ""),
        NodeStep { IsBypassed: true } node => $"{node.Type} (bypassed)",
        NodeStep node => node.Type,
        AlignStep align => $"wait {Say.Whole(align.DelayFrames)}",
        DifferenceStep => "difference",
        MeasureStep measure => $"measure {Shown(measure.Point.Measures)}",
        WriteStep write => $"write {Say.Encoding(write.Encoding)}",
        _ => step.GetType().Name,
    };

    private static string Shown(IReadOnlySet<string> measures) =>
        measures.Count <= 3 ? string.Join(", ", measures.Order(StringComparer.Ordinal)) : $"{Say.Whole(measures.Count)} measures";

    private static string Escape(string text) => text.Replace("\"", "#quot;", StringComparison.Ordinal).Replace("<", "#lt;", StringComparison.Ordinal);
}
