using System.Text;

namespace RenderGraph.Cli.Console;

/// <summary>Columns of plain text under small headings. The last column wraps; a column named with a leading <c>&gt;</c> is flush right.</summary>
internal sealed class TextTable(params string[] headings)
{
    private const string Gap = "  ";
    private const int LeastLastColumns = 14;

    private readonly List<string[]> _rows = [];

    /// <summary>Whether it has no row yet.</summary>
    public bool IsEmpty => _rows.Count == 0;

    /// <summary>Adds a row: one cell for each heading.</summary>
    public TextTable Add(params string[] cells)
    {
        if (cells.Length != headings.Length)
            throw new ArgumentException($"{cells.Length} cells under {headings.Length} headings");
        _rows.Add(cells);
        return this;
    }

    /// <summary>Writes heading and rows, each line after <paramref name="indent"/> spaces. A table without rows writes nothing.</summary>
    public void WriteTo(TextWriter writer, int widthColumns, int indent = 2)
    {
        if (IsEmpty)
            return;

        var titles = headings.Select(heading => heading.TrimStart('>')).ToArray();
        var widths = titles.Select((title, column) => _rows.Max(row => row[column].Length) is var most && most > title.Length ? most : title.Length).ToArray();
        var last = headings.Length - 1;
        var before = indent + widths.Take(last).Sum(width => width + Gap.Length);
        widths[last] = Math.Min(widths[last], Math.Max(LeastLastColumns, widthColumns - before));

        if (titles.Any(title => title.Length > 0))
            WriteRow(writer, titles, widths, indent);
        foreach (var row in _rows)
            WriteRow(writer, row, widths, indent);
    }

    private void WriteRow(TextWriter writer, string[] cells, int[] widths, int indent)
    {
        var last = cells.Length - 1;
        var line = new StringBuilder().Append(' ', indent);
        for (var column = 0; column < last; column++)
            line.Append(IsFlushRight(column) ? cells[column].PadLeft(widths[column]) : cells[column].PadRight(widths[column])).Append(Gap);
        var margin = line.Length;

        var wrapped = TextWrap.Lines(cells[last], widths[last]);
        for (var index = 0; index < wrapped.Count; index++)
        {
            if (index > 0)
                line.Clear().Append(' ', margin);
            line.Append(IsFlushRight(last) ? wrapped[index].PadLeft(widths[last]) : wrapped[index]);
            writer.WriteLine(line.ToString().TrimEnd());
        }
    }

    private bool IsFlushRight(int column) => headings[column].StartsWith('>');
}
