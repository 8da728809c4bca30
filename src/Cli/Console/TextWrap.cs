namespace RenderGraph.Cli.Console;

/// <summary>Breaks text between words.</summary>
internal static class TextWrap
{
    /// <summary>Lines of at most <paramref name="widthColumns"/>, at least one; a longer word stands alone and is not cut.</summary>
    public static IReadOnlyList<string> Lines(string text, int widthColumns)
    {
        var lines = new List<string>();
        var line = "";
        foreach (var word in text.Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            if (line.Length > 0 && line.Length + 1 + word.Length > widthColumns)
            {
                lines.Add(line);
                line = "";
            }

            line = line.Length == 0 ? word : $"{line} {word}";
        }

        lines.Add(line);
        return lines;
    }

    /// <summary>Writes text wrapped after a mark such as "- ", under which no later line begins.</summary>
    public static void WriteMarked(this TextWriter writer, string mark, string text, int widthColumns, int indent = 0)
    {
        var lines = Lines(text, widthColumns - indent - mark.Length);
        for (var index = 0; index < lines.Count; index++)
            writer.WriteLine(new string(' ', indent) + (index == 0 ? mark : new string(' ', mark.Length)) + lines[index]);
    }

    /// <summary>Writes text wrapped, every line after <paramref name="indent"/> spaces.</summary>
    public static void WriteWrapped(this TextWriter writer, string text, int widthColumns, int indent = 0)
    {
        var margin = new string(' ', indent);
        foreach (var line in Lines(text, widthColumns - indent))
            writer.WriteLine((margin + line).TrimEnd());
    }
}
