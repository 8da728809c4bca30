using System.Globalization;
using System.Text;

namespace RenderGraph.Cli.Batch;

/// <summary>Names of folders in texts: they may hold anything.</summary>
internal static class Plain
{
    /// <summary>What would break a line or speak to a terminal is written as JSON would.</summary>
    public static string Of(string name) => name.Any(char.IsControl)
        ? string.Concat(name.Select(unit => char.IsControl(unit) ? string.Create(CultureInfo.InvariantCulture, $"\\u{(int)unit:x4}") : unit.ToString()))
        : name;

    /// <summary>The same for Markdown: its signs are letters.</summary>
    public static string Markdown(string text)
    {
        var escaped = new StringBuilder();
        foreach (var unit in Of(text))
        {
            if (unit is '\\' or '`' or '*' or '_' or '[' or ']' or '<' or '>' or '|' or '#' or '~')
                escaped.Append('\\');
            escaped.Append(unit);
        }

        return escaped.ToString();
    }
}
