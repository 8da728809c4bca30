namespace RenderGraph.Graph.Diagnostics;

/// <summary>Everything found so far. Rules add to it and go on, so that all faults are told in one go.</summary>
public sealed class DiagnosticList
{
    private readonly List<Diagnostic> _found = [];

    /// <summary>Whether any finding stops the render.</summary>
    public bool HasErrors => _found.Exists(d => d.Severity == Severity.Error);

    /// <summary>All findings in the order of the text: file, line, column, then code. A finding told twice counts once.</summary>
    public IReadOnlyList<Diagnostic> InOrder =>
        [.. _found.Distinct()
            .OrderBy(d => d.File, StringComparer.Ordinal).ThenBy(d => d.At.Line).ThenBy(d => d.At.Column)
            .ThenBy(d => d.Code).ThenBy(d => d.Sentence, StringComparer.Ordinal)];

    /// <summary>All findings as they came.</summary>
    public IReadOnlyList<Diagnostic> Added => _found;

    /// <summary>Adds one finding.</summary>
    public void Add(Diagnostic diagnostic) => _found.Add(diagnostic);
}
