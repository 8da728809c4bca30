using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Parameters;

/// <summary>Answers a node from its entry in the graph. Faults are noted where they stand, and answered with something in bounds.</summary>
public sealed class DocumentParameters : IParameterSource
{
    private readonly ObjectReader _body;
    private readonly AnchorEntry? _anchor;
    private readonly int? _sampleRateHz;
    private readonly bool _isStep;

    /// <summary>A source for one node or step, not a chain.</summary>
    /// <param name="sampleRateHz">Of the render, or null while it is unknown: frequencies are then held against their bounds alone.</param>
    public DocumentParameters(NodeEntry entry, GraphDocument document, int? sampleRateHz, DiagnosticList diagnostics)
    {
        _body = new(entry.Body, entry.Subject, entry.At, document.File, diagnostics);
        (_anchor, _sampleRateHz, _isStep, BeatMs) = (document.Anchor, sampleRateHz, entry.IsStep, 60_000 / document.TempoBpm);
        if (_anchor is { HasHits: true } && IsKeyedBy(entry, _anchor.Stem.Value))
            KeyHits = _anchor.Measures?.Hits ?? [];
        foreach (var name in (string[])["type", .. entry.Type.Ports.Select(port => port.Name), "bypass", "measure"])
            _body.Find(name);
    }

    /// <summary>Once a node has asked for all it takes: notes every key that it did not ask for, and each that it asked for in vain.</summary>
    public void ReportKeys() => _body.ReportKeys(hidden: _isStep ? ["in"] : []);

    /// <inheritdoc/>
    public double Number(string name, double min, double max, double? otherwise, string about) =>
        _body.Number(ParameterName.InGraph(name), min, max, isRequired: otherwise is null) ?? otherwise ?? min;

    /// <inheritdoc/>
    public double? OptionalNumber(string name, double min, double max, string about)
    {
        var key = ParameterName.InGraph(name);
        return _body.Find(key) is { } value ? _body.NumberOf(key, value, min, max, "a number") ?? min : null;
    }

    /// <inheritdoc/>
    public double FrequencyHz(string name, double min, double max, double? otherwise, string about)
    {
        var key = ParameterName.InGraph(name);
        var value = _body.Find(key);
        if (value is null && otherwise is null)
            _body.ReportMissing(key, $"\"{key}\", a number between {ParameterName.Write(min)} and {ParameterName.Write(max)}, or \"anchor\"");
        if (value is null && otherwise is { } usual)
            return BelowLimit(key, usual, "by default", _body.At, usual);
        return Frequency(key, value, min, max) ?? otherwise ?? min;
    }

    /// <inheritdoc/>
    public double? OptionalFrequencyHz(string name, double min, double max, string about)
    {
        var key = ParameterName.InGraph(name);
        var value = _body.Find(key);
        return value is null ? null : Frequency(key, value, min, max) ?? min;
    }

    /// <inheritdoc/>
    public double? BeatMs { get; }

    /// <inheritdoc/>
    public IReadOnlyList<Hit>? KeyHits { get; }

    /// <inheritdoc/>
    public bool IsGiven(string name) => _body.Find(ParameterName.InGraph(name)) is not null;

    /// <inheritdoc/>
    public double OneOf(string name, IReadOnlyList<double> allowed, double otherwise, string about)
    {
        var key = ParameterName.InGraph(name);
        if (_body.Find(key) is not { } value)
            return otherwise;
        if (value is JsonNumber number && (allowed.Contains(number.Value) || !double.IsFinite(number.Value)))
            return double.IsFinite(number.Value) ? number.Value : otherwise;
        var choices = Shown.Names(allowed.Select(ParameterName.Write), "or");
        if (value is JsonNumber other)
        {
            var nearest = allowed.OrderBy(choice => Math.Abs(choice - other.Value)).First();
            _body.Report(
                DiagnosticCode.UnknownChoice, value.At, $"{_body.Subject} asks for {key} {Shown.Value(value)}, but it must be {choices}",
                $"The nearest is {ParameterName.Write(nearest)}");
        }
        else
        {
            _body.ReportWrongType(key, value, choices, NumberFault.InsteadOf(value, allowed.Min(), allowed.Max()));
        }

        return otherwise;
    }

    /// <inheritdoc/>
    public T Choice<T>(string name, T otherwise, string about) where T : struct, Enum
    {
        var names = Enum.GetNames<T>();
        var word = _body.Word(ParameterName.InGraph(name), [.. names.Select(ParameterName.InGraph)]);
        return word is null ? otherwise : Enum.Parse<T>(names.First(choice => ParameterName.InGraph(choice) == word));
    }

    /// <inheritdoc/>
    public bool Flag(string name, bool otherwise, string about) => _body.Flag(ParameterName.InGraph(name)) ?? otherwise;

    /// <inheritdoc/>
    public void Refuse(string name, string sentence, string remedy)
    {
        // A value that was answered in the stead of a faulty one contradicts nothing that the person wrote.
        if (_body.HasFault)
            return;
        var place = _body.Find(ParameterName.InGraph(name))?.At ?? _body.At;
        _body.Report(DiagnosticCode.Contradiction, place, $"{_body.Subject}: {sentence}", remedy);
    }

    private static bool IsKeyedBy(NodeEntry entry, string stem) => entry.Type.Ports
        .Zip(entry.Inputs)
        .Any(port => port.First.Kind == PortKind.Key && port.Second?.From == stem);

    private double? Frequency(string key, JsonValue? value, double min, double max)
    {
        switch (value)
        {
            case null:
                return null;
            case JsonText { Value: "anchor" }:
                return AnchorFrequency(key, value.At, min, max);
            case JsonText text when text.Value.Equals("anchor", StringComparison.OrdinalIgnoreCase):
                _body.ReportWrongType(key, text, "a number or \"anchor\"", "Did you mean \"anchor\"?");
                return null;
            default:
                return _body.NumberOf(key, value, min, max, "a number or \"anchor\"") is { } number
                    ? BelowLimit(key, number, "", value.At, min)
                    : null;
        }
    }

    private double? AnchorFrequency(string key, TextPosition at, double min, double max)
    {
        if (_anchor is null)
        {
            _body.Report(
                DiagnosticCode.MissingAnchor, at, $"{_body.Subject} asks for {key} \"anchor\", but the graph has no anchor",
                "Add \"anchor\": { \"stem\": ..., \"frequencyHz\": ... } to the graph, or write a number here");
            return null;
        }

        if (_anchor.FrequencyHz is not { } frequencyHz)
        {
            // What is to be measured is held against the bounds once it has been.
            if (!_anchor.IsFrequencyRefused && _anchor.MeasureFrequencyAt is null)
            {
                _body.Report(
                    DiagnosticCode.MissingAnchor, at, $"{_body.Subject} asks for {key} \"anchor\", but the anchor has no frequencyHz",
                    "Add \"frequencyHz\" to the anchor, a number or \"measure\", or write a number here");
            }

            return null;
        }

        if (frequencyHz >= min && frequencyHz <= max)
            return BelowLimit(key, frequencyHz, "from the anchor", at, min);
        _body.Report(
            DiagnosticCode.OutOfRange, at,
            $"{_body.Subject} asks for {key} {ParameterName.Write(frequencyHz)} from the anchor, but it must lie between {ParameterName.Write(min)} and {ParameterName.Write(max)}",
            "Write a number here, or correct the anchor's frequencyHz");
        return null;
    }

    /// <summary>A filter this near half the sample rate no longer has the shape that its corner promises.</summary>
    private double BelowLimit(string key, double frequencyHz, string whence, TextPosition at, double fallback)
    {
        if (_sampleRateHz is not { } rate || frequencyHz < 0.45 * rate)
            return frequencyHz;
        var limit = ParameterName.Write(0.45 * rate);
        _body.Report(
            DiagnosticCode.OutOfRange, at,
            string.Create(CultureInfo.InvariantCulture,
                $"{_body.Subject} asks for {key} {ParameterName.Write(frequencyHz)}{(whence.Length > 0 ? " " + whence : "")}, but at {rate} Hz it must lie below {limit}, which is 0.45 times the sample rate"),
            $"Write a number below {limit}, or use stems of a higher sample rate");
        return fallback;
    }
}
