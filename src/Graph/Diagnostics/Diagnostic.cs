using System.Globalization;

namespace RenderGraph.Graph.Diagnostics;

/// <summary>One thing found, for the person who wrote the graph.</summary>
/// <param name="Code">Which rule was broken.</param>
/// <param name="File">The file as the user named it, unless the place knows another.</param>
/// <param name="At">Where in the file; <c>default</c> for the whole file.</param>
/// <param name="Sentence">What is, and what was wanted. No full stop at the end.</param>
/// <param name="Remedy">What to do about it, one sentence. No full stop at the end.</param>
/// <param name="Severity">Whether it stops the render.</param>
public sealed record Diagnostic(
    DiagnosticCode Code, string File, TextPosition At, string Sentence, string Remedy, Severity Severity = Severity.Error)
{
    /// <inheritdoc cref="Diagnostic"/>
    public string File { get; init; } = At.File ?? File;

    /// <inheritdoc cref="Diagnostic"/>
    public string Sentence { get; init; } = OnOneLine(Sentence);

    /// <inheritdoc cref="Diagnostic"/>
    public string Remedy { get; init; } = OnOneLine(Remedy);

    /// <summary><c>file:line:column: code: sentence. remedy.</c>; a warning says so after its code, and a remedy that asks ends with its question mark.</summary>
    public override string ToString()
    {
        var place = At.Line == 0 ? File : string.Create(CultureInfo.InvariantCulture, $"{File}:{At.Line}:{At.Column}");
        var severity = Severity == Severity.Warning ? " warning:" : "";
        return $"{place}: {Code.Text()}:{severity} {Sentence}. {Remedy}{(Remedy.EndsWith('?') ? "" : ".")}";
    }

    /// <summary>Names and paths may hold anything: what would break the line, or speak to the terminal, is shown as it is written in JSON.</summary>
    private static string OnOneLine(string text) => text.Any(char.IsControl)
        ? string.Concat(text.Select(unit => char.IsControl(unit) ? string.Create(CultureInfo.InvariantCulture, $"\\u{(int)unit:x4}") : unit.ToString()))
        : text;
}

/// <summary>Whether a finding stops the render.</summary>
public enum Severity
{
    /// <summary>Nothing is rendered.</summary>
    Error,

    /// <summary>The render goes on; the person should know.</summary>
    Warning,
}
