using System.Globalization;
using System.Text;
using System.Text.Unicode;

namespace RenderGraph.Graph.Document;

/// <summary>Says why bytes are not UTF-8 text.</summary>
internal static class TextEncodingFault
{
    /// <summary>The first fault, or null if all is well. The offset is -1 when the whole file is meant.</summary>
    public static (int Offset, string Sentence, string Remedy)? Find(ReadOnlySpan<byte> text)
    {
        const string Remedy = "Save the file as UTF-8";
        if (text.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xFE]) || text.StartsWith((ReadOnlySpan<byte>)[0xFE, 0xFF]) || HasZeroAmongFirstTwo(text))
            return (-1, "the file is UTF-16 or UTF-32 text, but a graph is UTF-8", Remedy);
        if (Utf8.IsValid(text))
            return null;
        var offset = 0;
        while (Rune.DecodeFromUtf8(text[offset..], out _, out var length) == System.Buffers.OperationStatus.Done)
            offset += length;
        return (offset, string.Create(CultureInfo.InvariantCulture, $"the byte 0x{text[offset]:X2} here is not UTF-8 text"), Remedy);
    }

    private static bool HasZeroAmongFirstTwo(ReadOnlySpan<byte> text) => text.Length >= 2 && (text[0] == 0) != (text[1] == 0);
}
