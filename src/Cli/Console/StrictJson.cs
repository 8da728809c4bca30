using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;

namespace RenderGraph.Cli.Console;

/// <summary>JSON as RFC 8259 has it: no comment, no trailing comma, and a number that is not finite is null.</summary>
internal static class StrictJson
{
    // Letters outside ASCII stay readable; the page that would need them escaped is not made here.
    private static readonly JsonWriterOptions Options = new() { Indented = true, NewLine = "\n", Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <summary>Writes one object, and a line end after it.</summary>
    public static void WriteObject(TextWriter writer, Action<Utf8JsonWriter> members)
    {
        using var bytes = new MemoryStream();
        using (var json = new Utf8JsonWriter(bytes, Options))
        {
            json.WriteStartObject();
            members(json);
            json.WriteEndObject();
        }

        writer.Write(Encoding.UTF8.GetString(bytes.ToArray()));
        writer.Write('\n');
    }

    /// <summary>Writes a number, or null if there is none.</summary>
    public static void WriteFinite(this Utf8JsonWriter json, string name, double? value)
    {
        if (value is { } number && double.IsFinite(number))
            json.WriteNumber(name, number);
        else
            json.WriteNull(name);
    }

    /// <summary>Writes a number in ten-thousandths, since less is noise; null if there is none.</summary>
    public static void WriteRounded(this Utf8JsonWriter json, string name, double? value) =>
        json.WriteFinite(name, value is { } number ? Math.Round(number, 4, MidpointRounding.AwayFromZero) : null);

    /// <summary>Writes a text, or null if there is none.</summary>
    public static void WriteText(this Utf8JsonWriter json, string name, string? value)
    {
        if (value is null)
            json.WriteNull(name);
        else
            json.WriteString(name, value);
    }

    /// <summary>Writes an array of objects.</summary>
    public static void WriteObjects<T>(this Utf8JsonWriter json, string name, IEnumerable<T> items, Action<T> members)
    {
        json.WriteStartArray(name);
        foreach (var item in items)
        {
            json.WriteStartObject();
            members(item);
            json.WriteEndObject();
        }

        json.WriteEndArray();
    }
}
