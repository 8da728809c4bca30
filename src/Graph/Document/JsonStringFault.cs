using System.Globalization;

namespace RenderGraph.Graph.Document;

/// <summary>Says what is wrong inside a text in double quotes.</summary>
internal static class JsonStringFault
{
    /// <summary>The first fault of the text that opens at <paramref name="at"/>, or null; <paramref name="end"/> is then past its closing quote.</summary>
    public static SyntaxFinding? Find(ReadOnlySpan<byte> text, int at, out int end)
    {
        for (end = at + 1; end < text.Length; end++)
        {
            switch (text[end])
            {
                case (byte)'"':
                    end++;
                    return null;
                case (byte)'\n' or (byte)'\r':
                    return Unclosed(at);
                case < 0x20:
                    return new(
                        end, string.Create(CultureInfo.InvariantCulture, $"the control character U+{text[end]:X4} stands inside a text"),
                        text[end] == '\t' ? "Write \\t, or a blank" : "Remove it");
                case (byte)'\\':
                    if (!IsEscape(text[(end + 1)..]))
                        return new(end, "a backslash stands here that begins no escape", "Write / between folders, or \\\\ for one backslash");
                    end++;
                    break;
            }
        }

        return Unclosed(at);
    }

    private static SyntaxFinding Unclosed(int at) => new(at, "the text that begins here is not closed on its line", "Put a double quote at its end");

    private static bool IsEscape(ReadOnlySpan<byte> rest)
    {
        if (rest.IsEmpty)
            return false;
        if (rest[0] != 'u')
            return "\"\\/bfnrt"u8.Contains(rest[0]);
        return rest.Length >= 5 && char.IsAsciiHexDigit((char)rest[1]) && char.IsAsciiHexDigit((char)rest[2])
            && char.IsAsciiHexDigit((char)rest[3]) && char.IsAsciiHexDigit((char)rest[4]);
    }
}
