using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>
/// Where outputs go. Nothing that is read may be written over, under any spelling: <c>.</c> and <c>..</c>, letter case, composed letters, and links of the
/// file or of a folder above it. A hard link needs no look: outputs are written beside their target and moved over it, which
/// leaves the other name's content alone.
/// </summary>
public static class OutputTargets
{
    /// <summary>The full path of each output, by its name. Faults are noted; an output with a fault is left out.</summary>
    /// <param name="graphPath">Full path of the graph.</param>
    /// <param name="outFolder">Full path of the folder that outputs go into; need not exist.</param>
    public static IReadOnlyDictionary<string, string> Resolve(GraphDocument document, string graphPath, string outFolder, DiagnosticList diagnostics)
    {
        var targets = new SortedDictionary<string, string>(StringComparer.Ordinal);
        if (File.Exists(outFolder))
        {
            diagnostics.Add(new(
                DiagnosticCode.OutputUnwritable, document.File, default, $"the folder for the outputs, {outFolder}, is a file", "Name a folder, or a place where one can be made"));
            return targets;
        }

        var inputs = new Dictionary<string, (string Name, string Path)> { [PhysicalPath.Key(graphPath)] = ("the graph itself", graphPath) };
        foreach (var stem in document.Stems.Where(stem => StemPath.Fault(stem.File.Value) is null))
        {
            var path = Path.GetFullPath(Path.Combine(Path.GetDirectoryName(graphPath)!, stem.File.Value));
            inputs.TryAdd(PhysicalPath.Key(path), ($"stem \"{stem.Id}\" ({Shown.Path(stem.File.Value)})", path));
        }

        var taken = new Dictionary<string, (string Name, string Path)>();
        foreach (var output in document.Outputs)
        {
            if (Resolve(document, output, outFolder, inputs, taken, diagnostics) is { } path)
                targets.Add(output.Id, path);
        }

        return targets;
    }

    private static string? Resolve(
        GraphDocument document, OutputEntry output, string outFolder, Dictionary<string, (string Name, string Path)> inputs,
        Dictionary<string, (string Name, string Path)> taken, DiagnosticList diagnostics)
    {
        var subject = $"output \"{output.Id}\" ({Shown.Path(output.File.Value)})";
        if (OutputFileName.Fault(output.File.Value) is { } fault)
            return Refuse(DiagnosticCode.BadOutputFile, $"{subject}: {fault.Sentence}", fault.Remedy);
        var path = Path.GetFullPath(Path.Combine(outFolder, output.File.Value));
        if (Directory.Exists(path))
            return Refuse(DiagnosticCode.BadOutputFile, $"{subject}: a folder has that name", "Give the file another name, or move the folder away");
        for (var folder = Path.GetDirectoryName(path)!; folder.Length > outFolder.Length; folder = Path.GetDirectoryName(folder)!)
        {
            if (File.Exists(folder))
                return Refuse(DiagnosticCode.BadOutputFile, $"{subject}: {Path.GetFileName(folder)} is a file, so nothing can lie in it", "Choose another folder");
        }

        var key = PhysicalPath.Key(path);
        if (inputs.TryGetValue(key, out var input))
        {
            return Refuse(
                DiagnosticCode.OutputOverInput, $"{subject} would be written over {input.Name}{Why(path, input.Path)}",
                "Give the output another name, or write into another folder");
        }

        if (taken.TryGetValue(key, out var other))
            return Refuse(DiagnosticCode.OutputOverOutput, $"{subject} is the same file as {other.Name}{Why(path, other.Path)}", "Give one of them another name");
        taken.Add(key, (subject, path));
        return path;

        string? Refuse(DiagnosticCode code, string sentence, string remedy)
        {
            diagnostics.Add(new(code, document.File, output.File.At, sentence, remedy));
            return null;
        }
    }

    /// <summary>What makes two spellings one file, where that is not plain to see.</summary>
    private static string Why(string path, string other)
    {
        if (path == other)
            return "";
        var (physical, physicalOther) = (PhysicalPath.Of(path), PhysicalPath.Of(other));
        if (physical == physicalOther)
            return ": a link leads from one to the other";
        return physical.Normalize() == physicalOther.Normalize()
            ? ": they differ in how an accented letter is composed, and many systems take that for one file"
            : ": they differ only in capital letters, and many systems take that for one file";
    }
}
