using System.Globalization;
using System.Text;
using System.Text.Json;

namespace RenderGraph.Graph.Document;

/// <summary>Says in our own words why a text is not JSON, and what the writer probably meant.</summary>
internal static class JsonSyntaxFault
{
    /// <summary>Looks at what stands after the last good token.</summary>
    /// <param name="end">Where that token ends.</param>
    /// <param name="previous">What it was.</param>
    /// <param name="open">The innermost bracket that is still open.</param>
    public static SyntaxFinding Describe(ReadOnlySpan<byte> text, int end, JsonTokenType previous, OpenBracket? open, TextPlaces places)
    {
        if (!TrySkipBlank(text, end, out var at))
            return new(at, "this comment is never closed", "Close it with */, or begin it with // if it is one line");
        if (at == text.Length)
            return Ended(text, previous, open, places);
        if (open is null && previous != JsonTokenType.None)
            return new(at, "the graph has ended, but more text follows", "Remove it, or check the closing brackets before it");
        if (previous is JsonTokenType.None or JsonTokenType.PropertyName)
            return WantedValue(text, at, open, places);

        var isFirst = previous is JsonTokenType.StartObject or JsonTokenType.StartArray;
        if (!isFirst)
        {
            if (text[at] is (byte)'}' or (byte)']')
                return WrongEnd(text, at, open!.Value, places);
            if (text[at] != ',')
                return MissingComma(text, at, previous);
            var comma = at;
            if (!TrySkipBlank(text, comma + 1, out at))
                return new(at, "this comment is never closed", "Close it with */, or begin it with // if it is one line");
            if (at == text.Length)
                return Ended(text, previous, open, places);
            if (open!.Value.IsObject && previous == JsonTokenType.Number && comma == end && at == comma + 1 && char.IsAsciiDigit((char)text[at]))
                return DecimalComma(text, comma);
        }

        return open!.Value.IsObject ? WantedKey(text, at, open.Value, places) : WantedValue(text, at, open, places);
    }

    private static SyntaxFinding Ended(ReadOnlySpan<byte> text, JsonTokenType previous, OpenBracket? open, TextPlaces places)
    {
        if (open is not { } bracket)
            return new(0, "the file is empty, or holds nothing but comments", "Write a graph: { \"format\": 1, \"stems\": { ... }, \"outputs\": { ... } }");
        var missing = previous == JsonTokenType.PropertyName ? "a value is missing, and " : "";
        return new(text.Length, $"the text ends here, but {missing}the {bracket.Begin} {Place(places, bracket.Offset)} is never closed", $"Close it with {bracket.End}");
    }

    private static SyntaxFinding WrongEnd(ReadOnlySpan<byte> text, int at, OpenBracket open, TextPlaces places) => new(
        at, $"{(char)text[at]} stands here, but the {open.Begin} {Place(places, open.Offset)} must be closed first, by {open.End}",
        $"Write {open.End} here, or look for a bracket too many or too few before this place");

    private static SyntaxFinding DecimalComma(ReadOnlySpan<byte> text, int comma)
    {
        var (start, stop) = (comma, comma + 1);
        while (start > 0 && IsWordByte(text[start - 1])) start--;
        while (stop < text.Length && IsWordByte(text[stop])) stop++;
        var (whole, decimals) = (Text(text[start..comma]), Text(text[(comma + 1)..stop]));
        return new(start, $"{whole},{decimals} is written with a decimal comma, but JSON wants a full stop", $"Did you mean {whole}.{decimals}?");
    }

    private static SyntaxFinding MissingComma(ReadOnlySpan<byte> text, int at, JsonTokenType previous)
    {
        if (previous == JsonTokenType.Number && IsWordByte(text[at]))
            return new(at, $"{Word(text, at)} stands after a number", "Write the number alone: its unit is already in the key's name");
        if (text[at] == ':')
            return new(at, "a colon stands here, but one value has just ended", "Put a comma and a key in double quotes before the colon");
        return text[at] is (byte)'"' or (byte)'{' or (byte)'[' or (byte)'-' || char.IsAsciiLetterOrDigit((char)text[at])
            ? new(at, "a comma is missing before this", "Put a comma after the value before it")
            : Unexpected(text, at, "a comma or a closing bracket");
    }

    private static SyntaxFinding WantedKey(ReadOnlySpan<byte> text, int at, OpenBracket open, TextPlaces places)
    {
        switch (text[at])
        {
            case (byte)'"':
                return JsonStringFault.Find(text, at, out var end) ?? new(
                    at, $"the key {Text(text[at..end])} has no colon and value after it", "Write a colon and a value after the key");
            case (byte)',':
                return new(at, "two commas follow each other", "Remove one of them");
            case (byte)']':
                return WrongEnd(text, at, open, places);
            case var first when char.IsAsciiLetterOrDigit((char)first) || first is (byte)'_' or (byte)'$':
                return new(at, $"the key {Word(text, at)} stands without quotes", $"Write \"{Word(text, at)}\"");
            default:
                return Quotes(text, at) ?? Unexpected(text, at, "a key in double quotes");
        }
    }

    private static SyntaxFinding WantedValue(ReadOnlySpan<byte> text, int at, OpenBracket? open, TextPlaces places)
    {
        var first = text[at];
        if (first == '"')
            return JsonStringFault.Find(text, at, out _) ?? Unexpected(text, at, "a value");
        if (first is (byte)',' or (byte)'}' or (byte)']')
        {
            return first == ']' && open is { IsObject: false } || first != ',' && open is null
                ? WrongEnd(text, at, open ?? default, places)
                : new(at, $"{(char)first} stands here, but a value was wanted", "Write a value before it, or remove the key");
        }

        if (Quotes(text, at) is { } quotes)
            return quotes;
        // A number that is well written was refused for what stands right after it.
        if (NumberLength(text[at..]) is var length and > 0)
            return Describe(text, at + length, JsonTokenType.Number, open, places);
        if (first is (byte)'-' or (byte)'+' or (byte)'.' || char.IsAsciiLetterOrDigit((char)first))
            return WrongWord(Words(text, at), at);
        return Unexpected(text, at, "a value");
    }

    private static SyntaxFinding WrongWord(string word, int at)
    {
        var bare = word.TrimStart('+', '-');
        if (bare.Equals("nan", StringComparison.OrdinalIgnoreCase) || bare.StartsWith("inf", StringComparison.OrdinalIgnoreCase))
            return new(at, $"{word} stands here, but a number must be finite", "Write the number itself, or leave the key out");
        if (bare.Equals("true", StringComparison.OrdinalIgnoreCase) || bare.Equals("false", StringComparison.OrdinalIgnoreCase)
            || bare.Equals("null", StringComparison.OrdinalIgnoreCase))
            return new(at, $"{word} is not a word that JSON knows", $"Did you mean {bare.ToLowerInvariant()}?");
        if (double.TryParse(word, NumberStyles.Float, CultureInfo.InvariantCulture, out var number) && double.IsFinite(number))
            return new(at, $"{word} is not how JSON writes a number", $"Did you mean {Parameters.ParameterName.Write(number)}?");
        return char.IsAsciiDigit(bare.Length > 0 ? bare[0] : '-')
            ? new(at, $"{word} is not a number", "Write digits and at most one full stop; the unit is already in the key's name")
            : new(at, $"{word} stands here without quotes", $"Write \"{word}\" if it is a text");
    }

    /// <summary>Bytes of the word that begins here if it is a number as JSON writes it, else 0.</summary>
    private static int NumberLength(ReadOnlySpan<byte> text)
    {
        var length = 0;
        while (length < text.Length && IsWordByte(text[length])) length++;
        var number = new Utf8JsonReader(text[..length]);
        try
        {
            return number.Read() && number.TokenType == JsonTokenType.Number && number.BytesConsumed == length ? length : 0;
        }
        catch (JsonException)
        {
            return 0;
        }
    }

    private static SyntaxFinding? Quotes(ReadOnlySpan<byte> text, int at)
    {
        if (text[at] == '\'')
            return new(at, "a text stands in single quotes, but JSON wants double ones", "Write \" in place of each '");
        Rune.DecodeFromUtf8(text[at..], out var rune, out _);
        return rune.Value is 0x201C or 0x201D or 0x201E or 0x2018 or 0x2019 or 0xAB or 0xBB
            ? new(at, $"a text stands in curly quotes ({rune}), but JSON wants straight ones", "Write \" in place of each, and use a plain text editor")
            : null;
    }

    private static SyntaxFinding Unexpected(ReadOnlySpan<byte> text, int at, string wanted)
    {
        Rune.DecodeFromUtf8(text[at..], out var rune, out _);
        var shown = rune.Value is > 0x20 and < 0x7F ? rune.ToString() : string.Create(CultureInfo.InvariantCulture, $"the character U+{rune.Value:X4}");
        return new(at, $"{shown} stands here, but {wanted} was wanted", $"Remove it, or write {wanted}");
    }

    /// <summary>Steps over blanks and comments; false if a comment never ends.</summary>
    private static bool TrySkipBlank(ReadOnlySpan<byte> text, int from, out int at)
    {
        for (at = from; at < text.Length;)
        {
            if (text[at] is (byte)' ' or (byte)'\t' or (byte)'\r' or (byte)'\n')
                at++;
            else if (text[at..].StartsWith("//"u8))
                at = text[at..].IndexOfAny((byte)'\n', (byte)'\r') is var line and >= 0 ? at + line : text.Length;
            else if (!text[at..].StartsWith("/*"u8))
                return true;
            else if (text[(at + 2)..].IndexOf("*/"u8) is var close and >= 0)
                at += close + 4;
            else
                return false;
        }

        return true;
    }

    private static string Word(ReadOnlySpan<byte> text, int at)
    {
        var end = at;
        while (end < text.Length && IsWordByte(text[end])) end++;
        return Shown.Short(Text(text[at..Math.Max(end, at + 1)]));
    }

    /// <summary>From here to the next comma, bracket or end of line.</summary>
    private static string Words(ReadOnlySpan<byte> text, int at)
    {
        var length = text[at..].IndexOfAny(",]}\r\n"u8);
        return Text(length < 0 ? text[at..] : text.Slice(at, length)).Trim();
    }

    private static bool IsWordByte(byte unit) => char.IsAsciiLetterOrDigit((char)unit) || unit is (byte)'_' or (byte)'+' or (byte)'-' or (byte)'.' or (byte)'$';

    private static string Text(ReadOnlySpan<byte> text) => Shown.Short(Encoding.UTF8.GetString(text));

    private static string Place(TextPlaces places, int offset)
    {
        var at = places.Of(offset);
        return string.Create(CultureInfo.InvariantCulture, $"of line {at.Line}, column {at.Column}");
    }
}
