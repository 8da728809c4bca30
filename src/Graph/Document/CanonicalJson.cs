using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Document;

/// <summary>One text for each JSON value, however it was written: one blank after a comma and a colon, keys in ordinal order, a number as the shortest text that reads back as the same.</summary>
public static class CanonicalJson
{
    // Letters outside ASCII stay readable.
    private static readonly JavaScriptEncoder Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping;

    /// <summary>A whole value.</summary>
    public static string Of(JsonValue value)
    {
        switch (value)
        {
            case JsonNumber number:
                return Number(number.Value);
            case JsonText text:
                return Text(text.Value);
            case JsonFlag flag:
                return flag.Value ? "true" : "false";
            case JsonArray array:
                return new StringBuilder("[").AppendJoin(", ", array.Items.Select(Of)).Append(']').ToString();
            case JsonObject body:
                var members = body.Members.OrderBy(member => member.Name, StringComparer.Ordinal).Select(member => $"{Text(member.Name)}: {Of(member.Value)}");
                return new StringBuilder("{ ").AppendJoin(", ", members).Append(" }").ToString();
            default:
                return "null";
        }
    }

    /// <summary>A text, in quotes.</summary>
    public static string Text(string text) => $"\"{JsonEncodedText.Encode(text, Encoder)}\"";

    /// <summary>A number; what is not finite is null.</summary>
    public static string Number(double number) => double.IsFinite(number) ? ParameterName.Write(number) : "null";
}
