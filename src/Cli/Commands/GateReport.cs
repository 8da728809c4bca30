using System.Text.Json;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Parameters;
using RenderGraph.Graph.Rendering;

namespace RenderGraph.Cli.Commands;

/// <summary>How the gates of a graph fared: a table, JSON, and a fault for each that does not hold, with its value, limit, place and stem.</summary>
internal sealed class GateReport
{
    private readonly RenderedGraph _graph;
    private readonly int _rateHz;
    private readonly IReadOnlyList<GateResult> _results;

    public GateReport(RenderedGraph graph, RenderResult result, bool isWhole)
    {
        (_graph, _rateHz) = (graph, result.SampleRateHz);
        _results = GateResult.Judge(graph.Document, result, isWhole);
    }

    /// <summary>In the order of the graph.</summary>
    public IReadOnlyList<GateResult> Results => _results;

    /// <summary>One fault for each gate that does not hold.</summary>
    public IEnumerable<Diagnostic> Faults() => _results.Where(result => result.IsJudged && !result.Holds).Select(Fault);

    public void WriteText(TextWriter writer, int widthColumns)
    {
        if (_results.Count == 0)
            return;
        var table = new TextTable("gate", "", ">is", ">wanted");
        foreach (var result in _results)
        {
            table.Add(
                !result.IsJudged ? "not judged" : result.Holds ? "holds" : "FAILED", result.Gate.Subject,
                result.Value is { } value ? Number(value) + FromTo(result) : "-", Limits(result.Gate));
        }

        table.WriteTo(writer, widthColumns);
        if (_results.Any(result => !result.IsJudged))
            writer.WriteWrapped("Gates are about the whole song; of a part none is judged.", widthColumns, indent: 2);
        writer.WriteLine();
    }

    public void WriteJson(Utf8JsonWriter json) => json.WriteObjects("gates", _results, result =>
    {
        var gate = result.Gate;
        json.WriteString("measure", gate.Measure);
        json.WriteString("of", gate.Of.Value);
        json.WriteString("kind", gate.Kind == PointKind.Output ? "output" : "signal");
        json.WriteFinite("atLeast", gate.AtLeast);
        json.WriteFinite("atMost", gate.AtMost);
        json.WriteFinite("fromSeconds", gate.During?.FromSeconds);
        json.WriteFinite("toSeconds", gate.During?.ToSeconds);
        json.WriteText("during", gate.AtHits ? "hits" : null);
        json.WriteText("why", gate.Why);
        json.WriteText("state", !result.IsJudged ? "notJudged" : result.Holds ? "holds" : "failed");
        json.WriteText("against", gate.IsAgainstUntreated ? "untreated" : null);
        json.WriteFinite("value", result.Value);
        json.WriteFinite("treated", gate.IsAgainstUntreated ? result.Measurement?.Value : null);
        json.WriteFinite("untreated", result.Untreated?.Value);
        json.WriteText("notMeasurable", result.Reason);
        json.WriteFinite("atSeconds", PlaceSeconds(result));
        json.WriteText("barBeat", PlaceSeconds(result) is { } seconds && _graph.Document.TempoBpm is { } tempoBpm ? SongTime.WriteBar(seconds, tempoBpm) : null);
        json.WriteText("stem", result.Holds ? null : StemOf(result));
    });

    /// <summary>Why a gate does not hold: value, limit, place and stem.</summary>
    public Diagnostic Fault(GateResult result)
    {
        var gate = result.Gate;
        var limits = Limits(gate);
        if (result.Value is not { } value)
        {
            return new(
                DiagnosticCode.GateFailed, _graph.Document.File, gate.At, $"{gate.Subject} must be {limits}, but cannot be measured: {result.Reason}",
                "Gate what sounds for long enough, or remove the gate");
        }

        var stem = StemOf(result) is { } loudest ? $", where \"{loudest}\" is the loudest stem{Among(result)}" : "";
        var place = PlaceSeconds(result) is { } seconds ? $" at {Place(seconds)}{stem}" : "";
        var (off, way) = value > gate.AtMost ? (value - gate.AtMost!.Value, "too high") : (gate.AtLeast!.Value - value, "too low");
        return new(
            DiagnosticCode.GateFailed, _graph.Document.File, gate.At, $"{gate.Subject} is {Number(value)}{FromTo(result)}{place}, but must be {limits}",
            $"It is {Number(off)} {Measures.UnitOfDifference(gate.Measure)} {way}{(gate.Why is { } why ? $": {why.TrimEnd('.')}" : "")}".Replace("  ", " ", StringComparison.Ordinal));
    }

    private double? PlaceSeconds(GateResult result) =>
        result.Measurement?.AtFrame is { } frame ? (result.Point!.FirstFrame + frame) / (double)_rateHz : null;

    private string Place(double seconds) => _graph.Document.TempoBpm is { } tempoBpm
        ? $"{SongTime.Write(seconds)} (bar {SongTime.WriteBar(seconds, tempoBpm)})"
        : SongTime.Write(seconds);

    /// <summary>The stem to look at first; null if the gate's measure belongs to no place.</summary>
    public string? StemOf(GateResult result) =>
        PlaceSeconds(result) is { } seconds ? _graph.LoudestStem(result.Gate, (long)Math.Round(seconds * _rateHz)) : null;

    /// <summary>What is wanted, in words.</summary>
    public static string Limits(Expectation gate) => gate switch
    {
        { AtLeast: { } least, AtMost: { } most } => $"from {ParameterName.Write(least)} to {ParameterName.Write(most)}",
        { AtLeast: { } least } => $"at least {ParameterName.Write(least)}",
        _ => $"at most {ParameterName.Write(gate.AtMost!.Value)}",
    };

    // What the low end has nothing to do with was not looked at, nor was the anchor where something is held against it.
    private static string Among(GateResult result) => result.Point!.Point.Meters.First(meter => meter.Measures.Any(measure => measure.Name == result.Gate.Measure)) switch
    {
        { NeedsAnchor: true } => " beside the anchor",
        { IsOfLowEnd: true } => " in the low end",
        _ => "",
    };

    /// <summary>Of a change, what it is made of.</summary>
    private static string FromTo(GateResult result) =>
        result is { Measurement.Value: { } treated, Untreated.Value: { } untreated } ? $" ({Number(treated)}, untreated {Number(untreated)})" : "";

    // A value just past its limit must not be told as the limit itself.
    private static string Number(double value) => value.ToString("0.0##", System.Globalization.CultureInfo.InvariantCulture);
}
