using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Graph.Document;

/// <summary>Turns places in UTF-8 bytes into lines and columns. Asked in ascending order it walks the text once.</summary>
/// <param name="file">What places say of their file; null: nothing.</param>
internal sealed class TextPlaces(ReadOnlyMemory<byte> utf8, string? file = null)
{
    private int _offset;
    private int _line = 1;
    private int _column = 1;

    /// <summary>The place of the character that begins at that byte. A line ends with LF, CR LF or CR.</summary>
    public TextPosition Of(int offset)
    {
        if (offset < _offset)
            (_offset, _line, _column) = (0, 1, 1);
        var bytes = utf8.Span;
        for (; _offset < offset; _offset++)
        {
            var unit = bytes[_offset];
            var endsLine = unit == '\n' || (unit == '\r' && (_offset + 1 == bytes.Length || bytes[_offset + 1] != '\n'));
            if (endsLine)
                (_line, _column) = (_line + 1, 1);
            else if ((unit & 0xC0) != 0x80)
                _column += unit >= 0xF0 ? 2 : 1;
        }

        return new(_line, _column) { File = file };
    }
}
