using System.Globalization;
using System.Text;
using System.Text.Json;
using System.Text.Unicode;
using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Graph.Document;

/// <summary>Reads JSON into a tree that knows where everything stands. Comments, trailing commas and a byte order mark are accepted.</summary>
public sealed class JsonTreeReader
{
    /// <summary>Objects and lists may lie this deep in each other.</summary>
    public const int DepthLimit = 32;

    /// <summary>A file may be this long: 8 MiB.</summary>
    public const int LengthLimitBytes = 8 << 20;

    /// <summary>A file may hold so many values: each costs memory, and each may be at fault.</summary>
    public const int ValueLimit = 200_000;

    private readonly string _file;
    private readonly ReadOnlyMemory<byte> _utf8;
    private readonly DiagnosticList _diagnostics;
    private readonly TextPlaces _places;
    private readonly Stack<OpenBracket> _open = new();
    private JsonTokenType _previous;
    private int _end;
    private int _values;

    private JsonTreeReader(string file, ReadOnlyMemory<byte> utf8, DiagnosticList diagnostics, bool isPart)
    {
        (_file, _utf8, _diagnostics, _places) = (file, utf8, diagnostics, new(utf8, isPart ? file : null));
    }

    /// <summary>Reads the whole text. Duplicate keys and numbers that are not finite are noted, and the rest is still read.</summary>
    /// <param name="file">The file as the user named it.</param>
    /// <returns>The root, or null if it is not JSON, too long or too deep: then one fault says where and why.</returns>
    public static JsonValue? Read(string file, ReadOnlyMemory<byte> utf8, DiagnosticList diagnostics) => Read(file, utf8, diagnostics, isPart: false);

    /// <summary>The same of a file that becomes part of a tree from another: its places know that they are in it.</summary>
    /// <inheritdoc cref="Read(string, ReadOnlyMemory{byte}, DiagnosticList)"/>
    public static JsonValue? ReadPart(string file, ReadOnlyMemory<byte> utf8, DiagnosticList diagnostics) => Read(file, utf8, diagnostics, isPart: true);

    private static JsonValue? Read(string file, ReadOnlyMemory<byte> utf8, DiagnosticList diagnostics, bool isPart)
    {
        if (utf8.Length > LengthLimitBytes)
        {
            diagnostics.Add(TooLong(file));
            return null;
        }

        if (TextEncodingFault.Find(utf8.Span) is { } fault)
        {
            var at = fault.Offset < 0 ? default : new TextPlaces(utf8).Of(fault.Offset);
            diagnostics.Add(new(DiagnosticCode.NotJson, file, at, fault.Sentence, fault.Remedy));
            return null;
        }

        var text = utf8.Span.StartsWith("\uFEFF"u8) ? utf8[3..] : utf8;
        return new JsonTreeReader(file, text, diagnostics, isPart).ReadRoot();
    }

    /// <summary>What is said of a file over the limit.</summary>
    internal static Diagnostic TooLong(string file) => new(
        DiagnosticCode.TooLarge, file, default, "the file is longer than 8 MiB, far more than a graph needs",
        "Name the graph file itself; audio and data belong in files of their own");

    private JsonValue? ReadRoot()
    {
        // One level more than allowed, so that our own sentence about depth is reached first.
        var reader = new Utf8JsonReader(
            _utf8.Span, new JsonReaderOptions { CommentHandling = JsonCommentHandling.Skip, AllowTrailingCommas = true, MaxDepth = DepthLimit + 1 });
        try
        {
            Advance(ref reader);
            var root = ReadValue(ref reader);
            if (root is not null)
                Advance(ref reader);
            return root;
        }
        catch (JsonException)
        {
            var fault = JsonSyntaxFault.Describe(_utf8.Span, _end, _previous, _open.TryPeek(out var open) ? open : null, _places);
            _diagnostics.Add(new(DiagnosticCode.NotJson, _file, _places.Of(fault.Offset), fault.Sentence, fault.Remedy));
            return null;
        }
    }

    private void Advance(ref Utf8JsonReader reader)
    {
        (_end, _previous) = ((int)reader.BytesConsumed, reader.TokenType);
        reader.Read();
    }

    /// <summary>The value that the reader stands on; null once a fault has been told that ends the reading.</summary>
    private JsonValue? ReadValue(ref Utf8JsonReader reader)
    {
        var at = _places.Of((int)reader.TokenStartIndex);
        if (++_values > ValueLimit)
        {
            _diagnostics.Add(new(
                DiagnosticCode.TooLarge, _file, at, "here the file goes past 200,000 values, far more than a graph needs",
                "Name the graph file itself; audio and data belong in files of their own"));
            return null;
        }

        switch (reader.TokenType)
        {
            case JsonTokenType.StartObject or JsonTokenType.StartArray:
                if (_open.Count == DepthLimit)
                {
                    _diagnostics.Add(new(
                        DiagnosticCode.TooLarge, _file, at, "objects and lists lie more than 32 deep in each other here, and no part of a graph does",
                        "Check the brackets before this place"));
                    return null;
                }

                var isObject = reader.TokenType == JsonTokenType.StartObject;
                _open.Push(new(isObject, (int)reader.TokenStartIndex));
                JsonValue? value = isObject ? ReadObject(ref reader, at) : ReadArray(ref reader, at);
                _open.Pop();
                return value;
            case JsonTokenType.String:
                return ReadText(ref reader, at) is { } text ? new JsonText(at, text) : null;
            case JsonTokenType.Number:
                return ReadNumber(ref reader, at);
            case JsonTokenType.True or JsonTokenType.False:
                return new JsonFlag(at, reader.TokenType == JsonTokenType.True);
            default:
                return new JsonNull(at);
        }
    }

    private JsonObject? ReadObject(ref Utf8JsonReader reader, TextPosition at)
    {
        var members = new List<JsonMember>();
        var places = new Dictionary<string, TextPosition>(StringComparer.Ordinal);
        while (true)
        {
            Advance(ref reader);
            if (reader.TokenType == JsonTokenType.EndObject)
                return new(at, members);
            var nameAt = _places.Of((int)reader.TokenStartIndex);
            if (ReadText(ref reader, nameAt) is not { } name)
                return null;
            Advance(ref reader);
            if (ReadValue(ref reader) is not { } value)
                return null;
            if (places.TryAdd(name, nameAt))
                members.Add(new(name, nameAt, value));
            else
                ReportDuplicate(name, nameAt, places[name]);
        }
    }

    private void ReportDuplicate(string name, TextPosition at, TextPosition first) => _diagnostics.Add(new(
        DiagnosticCode.DuplicateName, _file, at,
        string.Create(CultureInfo.InvariantCulture, $"\"{Shown.Short(name)}\" stands twice in one object, first in line {first.Line}, column {first.Column}"),
        "Remove one of the two, or give one another name"));

    private JsonArray? ReadArray(ref Utf8JsonReader reader, TextPosition at)
    {
        var items = new List<JsonValue>();
        while (true)
        {
            Advance(ref reader);
            if (reader.TokenType == JsonTokenType.EndArray)
                return new(at, items);
            if (ReadValue(ref reader) is not { } item)
                return null;
            items.Add(item);
        }
    }

    private string? ReadText(ref Utf8JsonReader reader, TextPosition at)
    {
        try
        {
            return reader.GetString()!;
        }
        catch (InvalidOperationException)
        {
            _diagnostics.Add(new(
                DiagnosticCode.NotJson, _file, at, "this text has a \\u escape that is only half of a character",
                "Write the character itself; the file is UTF-8 and may hold any"));
            return null;
        }
    }

    private JsonNumber ReadNumber(ref Utf8JsonReader reader, TextPosition at)
    {
        var written = Encoding.ASCII.GetString(reader.ValueSpan);
        var value = double.Parse(written, NumberStyles.Float, CultureInfo.InvariantCulture);
        if (!double.IsFinite(value))
        {
            _diagnostics.Add(new(
                DiagnosticCode.OutOfRange, _file, at, $"{Shown.Short(written)} is too large to be a number here", "Write a number of ordinary size"));
        }

        return new(at, value, written);
    }
}
