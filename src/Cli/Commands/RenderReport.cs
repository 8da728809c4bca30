using System.Text.Json;
using RenderGraph.Cli.Comparing;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Rendering;
using RenderGraph.Nodes.Filters;

namespace RenderGraph.Cli.Commands;

/// <summary>What a render tells: files, findings of the nodes, and the rules by which levels and lengths came about.</summary>
internal sealed class RenderReport(RenderedGraph graph, RenderResult result, RenderOptions options, bool isUpToDate = false)
{
    private readonly IReadOnlyList<SetLevel> _levels = SetLevel.Of(graph.Document, result, isWhole: options is { FromSeconds: null, ToSeconds: null });

    private readonly LouderReport _louder = new(graph.Document, result);

    private readonly SpeakerReport _speakers = new(graph.Document, result);

    private readonly GateReport _gates = new(graph, result, isWhole: options is { FromSeconds: null, ToSeconds: null });

    private int RateHz => result.SampleRateHz;

    /// <summary>What was rendered.</summary>
    public RenderResult Result => result;

    /// <summary>How the gates fared.</summary>
    public GateReport Gates => _gates;

    /// <summary>What the render itself gives reason to say: samples held at full scale, a loudness missed, gates that do not hold.</summary>
    public IReadOnlyList<Diagnostic> Findings =>
    [
        .. result.Outputs.Where(output => output.Summary.ClippedSamples > 0).Select(Clipped),
        .. _levels.Select(level => level.Missed(graph)).OfType<Diagnostic>(),
        .. _gates.Faults(),
    ];

    /// <summary>Writes text or JSON.</summary>
    public void WriteTo(Terminal terminal, bool asJson)
    {
        if (asJson)
            StrictJson.WriteObject(terminal.Out, WriteJson);
        else
            WriteText(terminal);
    }

    private void WriteText(Terminal terminal)
    {
        var (writer, width) = (terminal.Out, terminal.WidthColumns);
        writer.WriteLine(graph.Title + PartText());
        if (isUpToDate)
            writer.WriteLine("  Nothing had to be rendered: graph, stems and outputs are as the lock has them.");
        writer.WriteLine();

        var files = new TextTable(isUpToDate ? "is there" : "wrote", ">length", ">peak", ">clipped", "as");
        foreach (var output in result.Outputs)
        {
            files.Add(
                Say.Path(output.Path), Say.Length(output.Summary.Frames, RateHz), Say.Level(output.Summary.PeakAmplitude),
                Say.Whole(output.Summary.ClippedSamples), $"{Say.Channels(output.Channels)} {Say.Encoding(output.Encoding)}, {output.Summary.Container}");
        }

        files.WriteTo(writer, width);

        var found = new TextTable("node", "is", "found");
        foreach (var node in result.Nodes)
            found.Add(node.Node, node.Type, string.Join(", ", node.Figures.Select(figure => $"{figure.Name} {Say.Figure(figure.Value)}")));
        writer.WriteLine();
        found.WriteTo(writer, width);
        if (result.Nodes.Count > 0)
            writer.WriteLine();

        if (result.Measures.Count > 0)
        {
            writer.WriteLine("  measured");
            MeasureTables.Write(writer, width, "at", [.. result.Measures.Select(Row)]);
            writer.WriteLine();
        }

        _louder.WriteText(writer, width);
        _speakers.WriteText(writer, width);
        if (graph.Document.Anchor is { } anchor)
        {
            writer.WriteWrapped($"anchor: {AnchorText.Line(anchor, RateHz)}", width, indent: 2);
            writer.WriteLine();
        }

        _gates.WriteText(writer, width);
        if (result.Verdict is { } verdict)
        {
            writer.WriteWrapped($"verdict: {CompareReport.Words(verdict.Kind)}: {verdict.Reason}. {CompareReport.Guards(verdict)}", width, indent: 2);
            writer.WriteLine();
        }

        writer.WriteLine("  rules");
        foreach (var (_, rule) in Rules())
            writer.WriteMarked("- ", rule, width, indent: 2);
    }

    private void WriteJson(Utf8JsonWriter json)
    {
        json.WriteBoolean("ok", !graph.Diagnostics.HasErrors);
        json.WriteString("status", isUpToDate ? "upToDate" : "rendered");
        json.WriteText("title", graph.Document.Title);
        json.WriteNumber("sampleRateHz", RateHz);
        json.WriteNumber("latencyFrames", graph.LatencyFrames);
        json.WriteAnchor(graph.Document.Anchor, RateHz);
        json.WriteFinite("fromSeconds", options.FromSeconds);
        json.WriteFinite("toSeconds", options.ToSeconds);
        json.WriteObjects("outputs", result.Outputs, output =>
        {
            json.WriteString("name", output.Output);
            json.WriteString("file", output.Path);
            json.WriteNumber("channels", output.Channels);
            json.WriteString("encoding", Say.Encoding(output.Encoding));
            json.WriteString("container", output.Summary.Container);
            json.WriteNumber("lengthFrames", output.Summary.Frames);
            json.WriteFinite("peakDbfs", Say.LevelDbfs(output.Summary.PeakAmplitude));
            json.WriteNumber("clippedSamples", output.Summary.ClippedSamples);
        });
        json.WriteObjects("nodes", result.Nodes, node =>
        {
            json.WriteString("name", node.Node);
            json.WriteString("type", node.Type);
            json.WriteStartObject("figures");
            foreach (var figure in node.Figures)
                json.WriteFinite(figure.Name, figure.Value);
            json.WriteEndObject();
        });
        json.WriteObjects("measures", result.Measures, point =>
        {
            json.WriteString("of", point.Point.Name);
            json.WriteString("kind", point.Point.Kind == PointKind.Output ? "output" : "signal");
            json.WriteBoolean("untreated", point.Point.IsUntreated);
            json.WriteText("during", point.Point.AtHits ? "hits" : null);
            json.WriteFinite("fromSeconds", (double)point.FirstFrame / RateHz);
            json.WriteFinite("toSeconds", (double)point.EndFrame / RateHz);
            json.WriteMeasurements(point.Measurements, RateHz, point.FirstFrame);
        });
        _louder.WriteJson(json);
        _speakers.WriteJson(json);
        _gates.WriteJson(json);
        if (result.Verdict is { } verdict)
            CompareReport.WriteVerdict(json, verdict);
        else
            json.WriteNull("verdict");
        json.WriteStartObject("rules");
        foreach (var (name, rule) in Rules())
            json.WriteString(name, rule);
        json.WriteEndObject();
        json.WriteFindings(graph.Diagnostics);
    }

    private MeasuredRow Row(PointMeasures point) => new(
        (point.Point.Kind == PointKind.Output ? Say.Path(graph.Targets[point.Point.Name]) : point.Point.Name)
            + (point.Point.IsUntreated ? ", untreated" : "")
            + (point.Point.During is { } during ? $" from {SongTime.Write(during.FromSeconds)} to {SongTime.Write(during.ToSeconds)}" : point.Point.AtHits ? " at the hits" : ""),
        Say.Length(point.EndFrame - point.FirstFrame, RateHz), point.Measurements);

    private IEnumerable<(string Name, string Rule)> Rules()
    {
        yield return ("channels", "Mono goes into stereo at unity on both sides; stereo goes into mono as half of left plus right.");
        var converted = graph.Document.Stems.Where(stem => graph.ConvertedFromHz.ContainsKey(stem.Id))
            .Select(stem => $"{stem.Id} (from {Say.Whole(graph.ConvertedFromHz[stem.Id])} Hz)").ToList();
        if (converted.Count > 0)
            yield return ("sampleRate", $"Converted to {Say.Whole(RateHz)} Hz, in place and without a shift of phase: {string.Join(", ", converted)}.");
        yield return ("length", "An output starts with the song and ends with its last stem, its own tailMs later if it asks for one.");
        yield return ("latency", graph.LatencyFrames == 0
            ? "No node needs to look ahead: latency is 0 frames."
            : $"Paths are aligned inside; the latency of {Say.Latency(graph.LatencyFrames, RateHz)} is taken out of every output.");
        var stems = graph.Document.Outputs.Where(output => output.Kind == OutputKind.Stems).Select(AddsUp).ToList();
        if (stems.Count > 0)
            yield return ("stems", string.Join(' ', stems));
        var deltas = graph.Document.Outputs.Where(output => output.Kind == OutputKind.Delta).Select(TakenAway).ToList();
        if (deltas.Count > 0)
            yield return ("delta", string.Join(' ', deltas));
        yield return ("level", _levels.Count == 0
            ? "Nothing is normalised: every output keeps the level that the graph gives it."
            : string.Concat(_levels.Select(level => level.Rule + " ")) + "What no gain is told of keeps the level that the graph gives it.");
        var speakers = graph.Document.Outputs.SelectMany(output => output.Treatments.Where(treatment => treatment.Type == SpeakerNode.Type).Select(treatment => (output, treatment))).ToList();
        if (speakers.Count > 0)
        {
            yield return ("speakers", string.Concat(speakers.Select(each => $"Output \"{each.output.Id}\" is what a small speaker that falls below {each.treatment.Body.Members[0].Value switch { JsonNumber number => number.Written, _ => "?" }} Hz would play. "))
                + "The model is a 4th-order Butterworth high-pass, as of a vented box (from memory). Above it the level is that of the mix, so it sounds softer: if you turn up to listen, come back down before you go on.");
        }

        if (_louder.Rule is { } louder)
            yield return ("louder", louder);
        if (_levels.Any(level => level.GainDb > 0))
            yield return ("caution", "An output is louder than the graph would have made it. Turn down before you listen, and come up slowly; what is louder always seems better at first.");
        if (result.Outputs.Any(output => output.Encoding != SampleEncoding.Float32))
            yield return ("dither", "Integer files are dithered (triangular, seeded by the output's name): the same graph and stems give the same bytes.");
        if (result.Measures.Count > 0)
            yield return ("measures", "Outputs are measured as written, before rounding: " + string.Join(" ", MeasureTables.Rules));
        if (result.Verdict is not null && result.Outputs.Any(output => output.Summary.Frames > OpenGraph.MostJudgedSeconds * RateHz))
            yield return ("verdict", $"The verdict is drawn from {Say.Decimal(OpenGraph.MostJudgedSeconds)} s, taken evenly from the song; \"compare\" hears all of it.");
        if (options is not { FromSeconds: null, ToSeconds: null })
            yield return ("part", "A part is the same samples as that part of the whole render; everything before it was worked through to get there.");
    }

    private string AddsUp(OutputEntry output)
    {
        var parts = StemParts.Of(graph.Document, output)!;
        return $"The files of output \"{output.Id}\" add up to \"{parts.Point}\", the gains of its mixes counted in."
            + (parts.Behind.Count == 0 ? "" : $" What comes behind it is in none of them: {string.Join(", ", parts.Behind.Reverse())}.");
    }

    private string TakenAway(OutputEntry output)
    {
        var point = DeltaPoint.Of(graph.Document, output)!;
        return $"Output \"{output.Id}\" is what was taken away: {(point.Before is { } before ? $"\"{before}\"" : "the untreated song")} less {(point.Before is null ? "the treated one at " : "")}\"{point.After}\".";
    }

    private string PartText() => options is { FromSeconds: null, ToSeconds: null }
        ? ""
        : $", from {SongTime.Write(options.FromSeconds ?? 0)} {(options.ToSeconds is { } to ? $"to {SongTime.Write(to)}" : "to the end")}";

    private static Diagnostic Clipped(RenderedOutput output) => new(
        DiagnosticCode.Clipped, Say.Path(output.Path), default,
        $"output \"{output.Output}\" reaches {Say.Level(output.Summary.PeakAmplitude)}, and {Say.Whole(output.Summary.ClippedSamples)} of its samples were held at full scale",
        output.Summary.PeakAmplitude > 1
            ? $"Turn what goes into it down by {Say.Decimal(RoundUp(Say.LevelDbfs(output.Summary.PeakAmplitude)!.Value))} dB with a gain node, or write float32"
            : "Turn what goes into it down a little, or write float32",
        Severity.Warning);

    /// <summary>The next tenth of a decibel that is certainly enough.</summary>
    private static double RoundUp(double levelDb) => (Math.Floor(levelDb * 10) + 1) / 10;
}
