using System.Globalization;

namespace RenderGraph.Graph.Document;

/// <summary>How a value from the text appears in a sentence.</summary>
internal static class Shown
{
    private const int LengthLimit = 48;

    /// <summary>At most 48 characters, none of which is a control character.</summary>
    public static string Short(string text)
    {
        if (text.Length > LengthLimit)
            text = text[..(char.IsHighSurrogate(text[LengthLimit - 4]) ? LengthLimit - 4 : LengthLimit - 3)] + "...";
        return text.Any(char.IsControl)
            ? string.Concat(text.Select(unit => char.IsControl(unit) ? string.Create(CultureInfo.InvariantCulture, $"\\u{(int)unit:x4}") : unit.ToString()))
            : text;
    }

    /// <summary>A stem or an output and its file: <c>stem "kick" (stems/kick.wav)</c>. The path is in full, since its end says most.</summary>
    public static string WithFile(string kind, string id, string path)
    {
        var shown = path.Any(char.IsControl) || path.Length > 260 ? Short(path) : path;
        return $"{kind} \"{Short(id)}\"{(shown.Length > 0 ? $" ({shown})" : "")}";
    }

    /// <summary>A value as the person wrote it; of an object or a list, what it is.</summary>
    public static string Value(JsonValue value) => value switch
    {
        JsonText text => $"\"{Short(text.Value)}\"",
        JsonNumber number => Short(number.Written),
        JsonFlag flag => flag.Value ? "true" : "false",
        JsonNull => "null",
        JsonArray => "a list",
        _ => "an object",
    };

    /// <summary><c>a, b, c</c> by name; more than ten end in three dots.</summary>
    public static string Few(IEnumerable<string> names)
    {
        var all = names.Order(StringComparer.Ordinal).Take(11).ToList();
        return string.Join(", ", all.Take(10)) + (all.Count > 10 ? ", ..." : "");
    }

    /// <summary><c>a, b and c</c>.</summary>
    public static string Names(IEnumerable<string> names, string lastWord = "and")
    {
        var all = names.ToList();
        return all.Count < 2 ? string.Concat(all) : $"{string.Join(", ", all[..^1])} {lastWord} {all[^1]}";
    }
}
