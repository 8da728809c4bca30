using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Graph.Document;

/// <summary>Reads <c>"measure"</c>, which stems, nodes, steps and outputs may have: true for all that one signal tells, or a list of measures by name.</summary>
internal sealed class MeasureReader(MeterCatalog catalog)
{
    private readonly List<MeasuredPoint> _points = [];

    /// <summary>All that was asked for, in the order read; what is measured at one point is together.</summary>
    public IReadOnlyList<MeasuredPoint> Points =>
    [
        .. _points.GroupBy(point => (point.Kind, point.Name, point.During, point.AtHits, point.IsUntreated)).Select(same =>
            MeasuredPoint.Of(same.Key.Kind, same.Key.Name, same.First().At, catalog, same.SelectMany(point => point.Measures)) with
            {
                During = same.Key.During,
                AtHits = same.Key.AtHits,
                IsUntreated = same.Key.IsUntreated,
            }),
    ];

    /// <summary>Adds a point that something else needs.</summary>
    public void Add(MeasuredPoint point) => _points.Add(point);

    /// <param name="otherwise">What the key left out means.</param>
    /// <param name="always">Measured whatever is written.</param>
    public void Read(ObjectReader owner, PointKind kind, string name, bool otherwise = false, IEnumerable<string>? always = null)
    {
        var needed = always?.ToList() ?? [];
        switch (owner.Find("measure"))
        {
            case null when otherwise:
                Add(owner.At, catalog.UsualNames);
                break;
            case JsonFlag { Value: true } flag:
                Add(flag.At, catalog.UsualNames);
                break;
            case JsonArray { Items.Count: > 0 } list:
                Add(list.At, [.. list.Items.Select(item => Name(owner, item)).OfType<string>()]);
                break;
            case null or JsonFlag:
                if (needed.Count > 0)
                    Add(owner.At, []);
                break;
            case JsonArray none:
                owner.Report(
                    DiagnosticCode.MissingKey, none.At, $"{owner.Subject} has no measure in the list of its \"measure\", but a list needs at least one",
                    "Write true, or [\"integratedLufs\", \"truePeakDbtp\"]");
                Add(none.At, []);
                break;
            case var other:
                Add(other.At, []); // it was to be measured, so nobody need be told that it reaches no output
                owner.ReportWrongType("measure", other, "true, or a list of measures", "Write true, or [\"integratedLufs\", \"truePeakDbtp\"]");
                break;
        }

        void Add(TextPosition at, IEnumerable<string> measures) => _points.Add(MeasuredPoint.Of(kind, name, at, catalog, measures.Concat(needed)));
    }

    private string? Name(ObjectReader owner, JsonValue item)
    {
        if (item is not JsonText text)
        {
            owner.ReportWrongType("measure", item, "the name of a measure", "Write it between double quotes, such as \"integratedLufs\"");
            return null;
        }

        if (catalog.MeterOf(text.Value) is not null)
            return text.Value;
        ReportUnknown(owner, text, catalog);
        return null;
    }

    /// <summary>Says that there is no measure of that name.</summary>
    public static void ReportUnknown(ObjectReader owner, JsonText written, MeterCatalog catalog) => owner.Report(
        DiagnosticCode.UnknownChoice, written.At, $"{owner.Subject} asks for the measure {Shown.Value(written)}, which there is not",
        NearestName.Of(written.Value, catalog.Names) is { } near ? $"Did you mean \"{near}\"?" : $"The measures are {Shown.Names(catalog.Names)}");
}
