using System.Globalization;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Document;

/// <summary>
/// Reads one object's keys, each with its type and bounds. A fault is noted, and the answer is then null or the default. Whatever nobody asks for is a fault too.
/// </summary>
/// <param name="body">The object.</param>
/// <param name="subject">What sentences call its owner: <c>node "low"</c>.</param>
/// <param name="at">Where its owner stands: what a missing key points at.</param>
internal sealed class ObjectReader(JsonObject body, string subject, TextPosition at, string file, DiagnosticList diagnostics)
{
    private readonly List<string> _asked = [];
    private readonly List<(string Name, string Wanted)> _missing = [];

    /// <summary>Whether a fault has been noted here.</summary>
    public bool HasFault { get; private set; }

    /// <summary>What sentences call the owner.</summary>
    public string Subject => subject;

    /// <summary>Where the owner stands.</summary>
    public TextPosition At => at;

    /// <summary>Notes a fault; neither text has a full stop at its end.</summary>
    public void Report(DiagnosticCode code, TextPosition place, string sentence, string remedy)
    {
        HasFault = true;
        diagnostics.Add(new(code, file, place, sentence, remedy));
    }

    /// <summary>Another object of the same file.</summary>
    public ObjectReader Inner(JsonObject inner, string innerSubject, TextPosition innerAt) => new(inner, innerSubject, innerAt, file, diagnostics);

    /// <summary>The value of any type, or null if the key is not there.</summary>
    public JsonValue? Find(string name)
    {
        _asked.Add(name);
        return body.Find(name)?.Value;
    }

    /// <summary>Whether the key is there.</summary>
    public bool Has(string name) => body.Find(name) is not null;

    /// <summary>Says, together with the unknown keys, that a key must be there: a misspelled key is one fault, not two.</summary>
    /// <param name="wanted">What to add: <c>"in", the name of a stem</c>.</param>
    public void ReportMissing(string name, string wanted)
    {
        HasFault = true;
        _missing.Add((name, wanted));
    }

    /// <summary>Says that a value is of another JSON type.</summary>
    public void ReportWrongType(string name, JsonValue value, string wanted, string remedy) =>
        Report(DiagnosticCode.WrongType, value.At, $"{subject}: \"{name}\" is {Shown.Value(value)}, but it must be {wanted}", remedy);

    /// <summary>A text. <paramref name="wanted"/> completes "it must be".</summary>
    public Located<string>? Text(string name, string wanted, string example, bool isRequired = false)
    {
        switch (Find(name))
        {
            case JsonText text:
                return new(text.Value, text.At);
            case null:
                if (isRequired)
                    ReportMissing(name, $"\"{name}\", {wanted}");
                return null;
            case var other:
                ReportWrongType(name, other, wanted, $"Write it between double quotes, such as {example}");
                return null;
        }
    }

    /// <summary>A finite number within bounds.</summary>
    public double? Number(string name, double min, double max, bool isRequired = false) =>
        Find(name) is { } value ? NumberOf(name, value, min, max, "a number") : Missing(name, $"a number between {ParameterName.Write(min)} and {ParameterName.Write(max)}", isRequired);

    /// <summary>A whole number within bounds.</summary>
    public int? Integer(string name, int min, int max)
    {
        if (Number(name, min, max) is not { } number)
            return null;
        if (number == Math.Floor(number))
            return (int)number;
        Report(
            DiagnosticCode.OutOfRange, body.Find(name)!.Value.At, $"{subject} asks for {name} {ParameterName.Write(number)}, but it must be a whole number",
            $"Did you mean {ParameterName.Write(Math.Round(number))}?");
        return null;
    }

    /// <summary>A list of at least one whole number within bounds.</summary>
    public Located<IReadOnlyList<int>>? Integers(string name, int most, int min, int max, string example)
    {
        switch (Find(name))
        {
            case JsonArray { Items.Count: > 0 } list when list.Items.Count <= most:
                var numbers = new List<int>();
                foreach (var item in list.Items)
                {
                    if (NumberOf(name, item, min, max, "a list of whole numbers") is not { } number) return null;
                    if (number != Math.Floor(number))
                    {
                        Report(DiagnosticCode.OutOfRange, item.At, $"{subject} asks for {name} {ParameterName.Write(number)}, but it must be a whole number", $"Did you mean {ParameterName.Write(Math.Round(number))}?");
                        return null;
                    }

                    numbers.Add((int)number);
                }

                return new(numbers, list.At);
            case JsonArray list:
                Report(
                    DiagnosticCode.OutOfRange, list.At,
                    string.Create(CultureInfo.InvariantCulture, $"{subject} has a list of {list.Items.Count} {name}, but it must have 1 to {most}"), $"Write \"{name}\": {example}");
                return null;
            case null:
                return null;
            case var other:
                ReportWrongType(name, other, "a list of whole numbers", $"Write \"{name}\": {(other is JsonNumber ? $"[{Shown.Value(other)}]" : example)}");
                return null;
        }
    }

    /// <summary>A list of texts.</summary>
    public IReadOnlyList<string>? Texts(string name, string wanted)
    {
        switch (Find(name))
        {
            case JsonArray list when list.Items.All(item => item is JsonText):
                return [.. list.Items.Cast<JsonText>().Select(text => text.Value)];
            case null:
                return null;
            case var other:
                ReportWrongType(name, other, $"a list of texts, {wanted}", "Write each between double quotes, and all of them between [ and ]");
                return null;
        }
    }

    /// <summary>true or false.</summary>
    public bool? Flag(string name)
    {
        switch (Find(name))
        {
            case JsonFlag flag:
                return flag.Value;
            case null:
                return null;
            case var other:
                ReportWrongType(name, other, "true or false", Yes(other) is { } meant ? $"Did you mean {meant}, without quotes?" : "Write true or false without quotes");
                return null;
        }

        static string? Yes(JsonValue value) => value switch
        {
            JsonText text when text.Value.ToUpperInvariant() is "TRUE" or "YES" or "ON" => "true",
            JsonText text when text.Value.ToUpperInvariant() is "FALSE" or "NO" or "OFF" => "false",
            JsonNumber { Value: 1 } => "true",
            JsonNumber { Value: 0 } => "false",
            _ => null,
        };
    }

    /// <summary>One of a few words.</summary>
    public string? Word(string name, IReadOnlyList<string> allowed)
    {
        var choices = Shown.Names(allowed.Select(word => $"\"{word}\""), "or");
        switch (Find(name))
        {
            case JsonText text when allowed.Contains(text.Value):
                return text.Value;
            case JsonText text:
                Report(
                    DiagnosticCode.UnknownChoice, text.At, $"{subject} asks for {name} {Shown.Value(text)}, but it must be {choices}",
                    NearestName.Of(text.Value, allowed) is { } near ? $"Did you mean \"{near}\"?" : "Write one of these words");
                return null;
            case null:
                return null;
            case var other:
                ReportWrongType(name, other, choices, "Write one of these words, in double quotes");
                return null;
        }
    }

    /// <summary>The number that <paramref name="value"/> is, or null after noting why it is none or out of bounds.</summary>
    /// <param name="wanted">Completes "it must be" for another type.</param>
    public double? NumberOf(string name, JsonValue value, double min, double max, string wanted)
    {
        if (value is not JsonNumber number)
        {
            ReportWrongType(name, value, wanted, NumberFault.InsteadOf(value, min, max));
            return null;
        }

        // A number that is not finite has been told by the reader of the text.
        if (!double.IsFinite(number.Value) || (number.Value >= min && number.Value <= max))
            return double.IsFinite(number.Value) ? number.Value : null;
        Report(
            DiagnosticCode.OutOfRange, number.At,
            $"{subject} asks for {name} {Shown.Value(number)}, but it must lie between {ParameterName.Write(min)} and {ParameterName.Write(max)}",
            NumberFault.Nearest(name, number.Value, min, max));
        return null;
    }

    /// <summary>Once everything has been asked for: says of every key that nobody asked for that it is unknown, and what is missing.</summary>
    /// <param name="hidden">Keys asked for only to explain them, not to be offered.</param>
    public void ReportKeys(params IReadOnlyList<string> hidden)
    {
        var known = _asked.Except(hidden).Distinct().ToList();
        var free = known.Where(name => body.Find(name) is null).ToList();
        foreach (var member in body.Members.Where(member => !_asked.Contains(member.Name)))
        {
            var near = NearestName.Of(member.Name, free);
            _missing.RemoveAll(missing => missing.Name == near);
            Report(
                DiagnosticCode.UnknownKey, member.At, $"{subject} has a key \"{Shown.Short(member.Name)}\" that nothing reads",
                near is not null ? $"Did you mean \"{near}\"?" : $"Remove it; what may stand here is {Shown.Names(known)}");
        }

        ReportMissingKeys();
    }

    /// <summary>Says what is missing, where others see to the keys that are unknown.</summary>
    public void ReportMissingKeys()
    {
        foreach (var (name, wanted) in _missing)
            Report(DiagnosticCode.MissingKey, PlaceOfMissing(name), $"{subject} has no \"{name}\", but it must be given", $"Add {wanted}");
        _missing.Clear();
    }

    private TextPosition PlaceOfMissing(string name)
    {
        foreach (var (removed, place) in body.Removed)
        {
            if (removed == name)
                return place;
        }

        return at;
    }

    private double? Missing(string name, string wanted, bool isRequired)
    {
        if (isRequired)
            ReportMissing(name, $"\"{name}\", {wanted}");
        return null;
    }
}
