using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Graph.Document;

/// <summary>Reads <c>"expect"</c>, the list of gates; what they measure is measured without being asked for.</summary>
internal sealed class ExpectationReader(ObjectReader graph, MeterCatalog catalog, IReadOnlyList<OutputEntry> outputs, MeasureReader measures)
{
    private const double LargestNumber = 1e6;

    /// <summary>All gates, in the order written.</summary>
    public IReadOnlyList<Expectation> ReadAll()
    {
        switch (graph.Find("expect"))
        {
            case JsonArray list:
                return [.. list.Items.Select((item, index) => Read(item, index + 1)).OfType<Expectation>()];
            case null:
                return [];
            case var other:
                graph.ReportWrongType("expect", other, "a list of gates", "Write [ { \"measure\": \"truePeakDbtp\", \"of\": \"mix\", \"atMost\": -1 } ]");
                return [];
        }
    }

    private Expectation? Read(JsonValue item, int number)
    {
        var subject = FormattableString.Invariant($"gate {number}");
        if (item is not JsonObject body)
        {
            graph.Report(
                DiagnosticCode.WrongType, item.At, $"{subject} is {Shown.Value(item)}, but it must be an object",
                "Write { \"measure\": \"truePeakDbtp\", \"of\": \"mix\", \"atMost\": -1 }");
            return null;
        }

        var gate = graph.Inner(body, subject, body.At);
        var measure = gate.Text("measure", "the name of a measure", "\"truePeakDbtp\"", isRequired: true);
        var of = gate.Text("of", "the name of an output, a stem, a node or a step", "\"mix\"", isRequired: true);
        var (atLeast, atMost) = ReadLimits(gate);
        var (during, atHits) = ReadDuring(gate);
        var isAgainstUntreated = gate.Word("against", ["untreated"]) is not null;
        var why = gate.Text("why", "a text", "\"streaming encoders add up to a decibel\"")?.Value;
        var isKnown = measure is { } written && IsKnown(gate, written) && (!atHits || CanBeTakenAtHits(gate, written.Value));
        gate.ReportKeys();
        if (!isKnown || of is not { } point || gate.HasFault)
            return null;
        var kind = outputs.Any(output => output.Owns(point.Value)) ? PointKind.Output : PointKind.Signal;
        var measured = MeasuredPoint.Of(kind, point.Value, point.At, catalog, [measure!.Value.Value]) with { During = during, AtHits = atHits };
        measures.Add(measured);
        if (isAgainstUntreated)
            measures.Add(measured with { IsUntreated = true });
        return new(body.At, measure.Value.Value, point, kind, atLeast, atMost, during, why) { IsAgainstUntreated = isAgainstUntreated, AtHits = atHits };
    }

    private bool CanBeTakenAtHits(ObjectReader gate, string measure)
    {
        var type = catalog.MeterOf(measure)!.Measures.First(type => type.Name == measure);
        if (type.AtHits is not null)
            return true;
        var others = catalog.Types.SelectMany(type => type.Measures).Where(type => type.AtHits is not null).Select(type => type.Name);
        gate.Report(
            DiagnosticCode.Contradiction, gate.Find("during")!.At, $"{gate.Subject} wants {measure} at the hits, but it cannot be taken there, since {type.NotAtHits}",
            $"Leave out \"during\", or name one of {Shown.Names(others)}");
        return false;
    }

    private bool IsKnown(ObjectReader gate, Located<string> measure)
    {
        if (catalog.MeterOf(measure.Value) is not null)
            return true;
        MeasureReader.ReportUnknown(gate, new JsonText(measure.At, measure.Value), catalog);
        return false;
    }

    private static (double? AtLeast, double? AtMost) ReadLimits(ObjectReader gate)
    {
        var (least, most) = (gate.Number("atLeast", -LargestNumber, LargestNumber), gate.Number("atMost", -LargestNumber, LargestNumber));
        var within = gate.Find("within");
        if (within is not null && (gate.Has("atLeast") || gate.Has("atMost")))
        {
            gate.Report(DiagnosticCode.Contradiction, within.At, $"{gate.Subject} has limits twice: within, and atLeast or atMost", "Write within: [least, most] alone, or the others");
            return (null, null);
        }

        switch (within)
        {
            case JsonArray { Items: [JsonNumber first, JsonNumber second] } pair when double.IsFinite(first.Value) && double.IsFinite(second.Value):
                (least, most, within) = (first.Value, second.Value, pair);
                break;
            case null:
                if (!gate.Has("atLeast") && !gate.Has("atMost"))
                    gate.ReportMissing("atMost", "\"atMost\", \"atLeast\" or \"within\": [least, most]");
                break;
            case var other:
                gate.ReportWrongType("within", other, "a list of two numbers", "Write [least, most], such as [-15, -13]");
                return (null, null);
        }

        if (least > most)
        {
            gate.Report(
                DiagnosticCode.Contradiction, (within ?? gate.Find("atLeast"))!.At,
                FormattableString.Invariant($"{gate.Subject} wants at least {least} and at most {most}, which nothing can be"), "Write the smaller number first");
        }

        return (least, most);
    }

    private static (Stretch? Stretch, bool AtHits) ReadDuring(ObjectReader gate)
    {
        switch (gate.Find("during"))
        {
            case JsonArray { Items: [JsonNumber { Value: >= 0 } from, JsonNumber to] } when from.Value < to.Value && double.IsFinite(to.Value):
                return (new(from.Value, to.Value), false);
            case JsonText { Value: "hits" }:
                return (null, true);
            case null:
                return (null, false);
            case var other:
                gate.ReportWrongType(
                    "during", other, "a list of two times in seconds, the earlier first, or \"hits\"", "Write [from, to], such as [12, 30.5], \"hits\" for the anchor's hits, or leave it out for the whole song");
                return (null, false);
        }
    }
}
