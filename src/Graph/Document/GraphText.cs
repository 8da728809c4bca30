using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;

namespace RenderGraph.Graph.Document;

/// <summary>Writes a tree as a graph that people read: a line for each stem, node, output and gate, broken up where it is long. The same tree always gives the same text.</summary>
public sealed class GraphText
{
    private const int LineLength = 140, Indent = 2;

    // Sections of which each member has a line of its own.
    private static readonly string[] Sections = ["stems", "nodes", "outputs", "expect"];

    private readonly StringBuilder _text = new();
    private readonly Func<JsonMember, string?> _comment;

    private GraphText(Func<JsonMember, string?> comment) => _comment = comment;

    /// <summary>The whole text.</summary>
    /// <param name="head">Comments at the top, a line each.</param>
    /// <param name="comment">What is said above a member of a section, or null.</param>
    public static string Write(JsonObject graph, IEnumerable<string> head, Func<JsonMember, string?> comment)
    {
        var text = new GraphText(comment);
        foreach (var line in head)
            text.AppendComment(line, 0);
        text.Append(graph, 0, 0, isBroken: true);
        return text._text.Append('\n').ToString();
    }

    private void Append(JsonValue value, int indent, int column, bool isBroken)
    {
        var (opening, closing, children) = value switch
        {
            JsonObject body => ('{', '}', body.Members.Select(member => (Member: (JsonMember?)member, member.Value)).ToList()),
            JsonArray list => ('[', ']', list.Items.Select(item => (Member: (JsonMember?)null, Value: item)).ToList()),
            _ => (' ', ' ', []),
        };
        if (children.Count == 0 || (!isBroken && column + Inline(value).Length <= LineLength))
        {
            _text.Append(Inline(value));
            return;
        }

        _text.Append(opening);
        var wasSection = false;
        for (var index = 0; index < children.Count; index++)
        {
            var (member, child) = children[index];
            var isSection = indent == 0 && member is not null && Sections.Contains(member.Name) && child is JsonObject or JsonArray;
            _text.Append(index > 0 ? "," : "").Append(isSection || wasSection ? "\n\n" : "\n");
            wasSection = isSection;
            if (member is not null && indent == Indent && _comment(member) is { } comment)
                AppendComment(comment, indent + Indent);
            _text.Append(' ', indent + Indent);
            var key = member is null ? "" : $"{Quoted(member.Name)}: ";
            _text.Append(key);
            Append(child, indent + Indent, indent + Indent + key.Length, isSection);
        }

        _text.Append('\n').Append(' ', indent).Append(closing);
    }

    // Whatever a name holds, it stays in its line.
    private void AppendComment(string text, int indent) =>
        _text.Append(' ', indent).Append("// ").Append(string.Concat(text.Select(unit => char.IsControl(unit) || unit is '\u2028' or '\u2029' ? ' ' : unit))).Append('\n');

    private static string Inline(JsonValue value) => value switch
    {
        JsonText text => Quoted(text.Value),
        JsonNumber number => number.Written,
        JsonFlag flag => flag.Value ? "true" : "false",
        JsonArray list => $"[{string.Join(", ", list.Items.Select(Inline))}]",
        JsonObject { Members.Count: 0 } => "{}",
        JsonObject body => $"{{ {string.Join(", ", body.Members.Select(member => $"{Quoted(member.Name)}: {Inline(member.Value)}"))} }}",
        _ => "null",
    };

    private static string Quoted(string text) => $"\"{JsonEncodedText.Encode(text, JavaScriptEncoder.UnsafeRelaxedJsonEscaping)}\"";
}
