using System.Text.Json;
using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Cli.Console;

/// <summary>How findings reach the person: as lines for the eye and the editor, and as JSON for programs.</summary>
internal static class Findings
{
    /// <summary>One line each, in the order of the text.</summary>
    public static void WriteTo(this DiagnosticList diagnostics, TextWriter writer)
    {
        foreach (var diagnostic in diagnostics.InOrder)
            writer.WriteLine(diagnostic.ToString());
    }

    /// <summary>As an array; a finding about a whole file has line and column null.</summary>
    public static void WriteFindings(this Utf8JsonWriter json, DiagnosticList diagnostics) =>
        json.WriteObjects("findings", diagnostics.InOrder, diagnostic =>
        {
            var isPlaced = diagnostic.At.Line > 0;
            json.WriteString("code", diagnostic.Code.Text());
            json.WriteString("severity", diagnostic.Severity == Severity.Error ? "error" : "warning");
            json.WriteString("file", diagnostic.File);
            json.WriteFinite("line", isPlaced ? diagnostic.At.Line : null);
            json.WriteFinite("column", isPlaced ? diagnostic.At.Column : null);
            json.WriteString("sentence", diagnostic.Sentence);
            json.WriteString("remedy", diagnostic.Remedy);
        });
}
