using System.CommandLine;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Parameters;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Cli.Commands;

/// <summary><c>check</c>: everything short of rendering. No audio is written.</summary>
internal static class CheckCommand
{
    public static Command Create(CommandSetting setting)
    {
        var graph = Options.Graph();
        var allowOutside = Options.AllowOutside();
        var json = Options.Json();
        var command = new Command("check", "Validate a graph and look into its stems, or validate a recipe; writes nothing.") { graph, allowOutside, json };
        command.SetAction(parsed =>
        {
            var asJson = parsed.GetValue(json);
            if (Recipe.IsRecipe(parsed.GetValue(graph)!))
                return RecipeCheck.Run(setting, parsed.GetValue(graph)!, asJson);
            return OpenGraph.Use(setting, parsed.GetValue(graph)!, asJson, parsed.GetValue(allowOutside), open =>
            {
                if (asJson)
                    WriteJson(setting.Terminal, open);
                else
                    WriteText(setting.Terminal, open);
                return ExitCode.Done;
            }, asRendered: true);
        });
        return command;
    }

    private static void WriteText(Terminal terminal, OpenGraph open)
    {
        var (writer, document, width) = (terminal.Out, open.Loaded.Document, terminal.WidthColumns);
        writer.WriteLine($"{open.Title}: graph and stems are in order.");

        var stems = new TextTable("stem", ">rate", "channels", ">length", "encoding", "file");
        foreach (var stem in document.Stems)
        {
            var format = open.Loaded.Stems.Formats[stem.Id];
            stems.Add(
                stem.Id, $"{Say.Whole(format.SampleRateHz)} Hz", Say.Channels(format.Channels), Say.Length(format.LengthFrames, format.SampleRateHz),
                format.Encoding, stem.File.Value + Remarks(stem, format));
        }

        writer.WriteLine();
        stems.WriteTo(writer, width);
        writer.WriteLine();
        writer.WriteWrapped($"anchor: {AnchorText.Line(document.Anchor, open.Plan.SampleRateHz)}", width, indent: 2);

        document.Origin?.WriteTo(writer, width);

        var outputs = new TextTable("output", "takes", "channels", ">length", "encoding", "file");
        foreach (var write in open.Plan.Writes)
        {
            var entry = document.Outputs.First(output => output.Owns(write.Output));
            outputs.Add(
                write.Output, entry.From.Value, Say.Channels(write.Channels), Say.Length(write.LengthFrames, open.Plan.SampleRateHz),
                Say.Encoding(write.Encoding), Say.Path(open.Loaded.Targets[write.Output]));
        }

        writer.WriteLine();
        outputs.WriteTo(writer, width);
    }

    private static void WriteJson(Terminal terminal, OpenGraph open) =>
        StrictJson.WriteObject(terminal.Out, json =>
        {
            var document = open.Loaded.Document;
            json.WriteBoolean("ok", true);
            json.WriteText("title", document.Title);
            json.WriteNumber("sampleRateHz", open.Plan.SampleRateHz);
            json.WriteNumber("lengthFrames", open.Plan.LengthFrames);
            json.WriteObjects("stems", document.Stems, stem =>
            {
                var format = open.Loaded.Stems.Formats[stem.Id];
                json.WriteString("name", stem.Id);
                json.WriteString("file", stem.File.Value);
                json.WriteNumber("sampleRateHz", format.SampleRateHz);
                json.WriteFinite("convertedFromHz", format.ConvertedFromHz);
                json.WriteNumber("channels", format.Channels);
                json.WriteNumber("lengthFrames", format.LengthFrames);
                json.WriteString("encoding", format.Encoding);
                json.WriteFinite("gainDb", stem.GainDb);
                json.WriteFinite("startMs", stem.StartMs);
                json.WriteNumber("startFrame", Planner.StartFrame(stem, open.Plan.SampleRateHz));
                json.WriteBoolean("muted", stem.Muted);
            });
            json.WriteAnchor(document.Anchor, open.Plan.SampleRateHz);
            json.WriteOrigin(document.Origin);
            json.WriteObjects("outputs", open.Plan.Writes, write =>
            {
                json.WriteString("name", write.Output);
                json.WriteString("file", open.Loaded.Targets[write.Output]);
                json.WriteNumber("channels", write.Channels);
                json.WriteNumber("lengthFrames", write.LengthFrames);
                json.WriteString("encoding", Say.Encoding(write.Encoding));
            });
            json.WriteFindings(open.Diagnostics);
        });

    private static string Remarks(StemEntry stem, StemFormat format)
    {
        var remarks = new List<string>();
        if (format.ConvertedFromHz is { } rateHz)
            remarks.Add($"converted from {Say.Whole(rateHz)} Hz");
        if (stem.Muted)
            remarks.Add("muted");
        if (stem.GainDb != 0)
            remarks.Add($"{ParameterName.Write(stem.GainDb)} dB");
        if (stem.StartMs != 0)
            remarks.Add($"starts at {ParameterName.Write(stem.StartMs)} ms");
        if (stem.AlignedFrames != 0)
            remarks.Add($"lined up {ParameterName.Write((double)stem.AlignedFrames / format.SampleRateHz * 1000)} ms later");
        return remarks.Count == 0 ? "" : $" ({string.Join(", ", remarks)})";
    }
}
