using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Graph.Validation;

/// <summary>
/// Where outputs go. Nothing that is read may be written over, under any spelling: <c>.</c> and <c>..</c>, letter case, composed letters, and links of the
/// file or of a folder above it. A hard link needs no look: outputs are written beside their target and moved over it, which
/// leaves the other name's content alone.
/// </summary>
public static class OutputTargets
{
    /// <summary>The full path of each file of each output, by the name that plans call it. Faults are noted; an output with a fault is left out.</summary>
    /// <param name="place">Where the graph comes from.</param>
    /// <param name="outFolder">Full path of the folder that outputs go into; need not exist.</param>
    /// <param name="allowOutside">Whether a link in that folder may lead an output out of it.</param>
    public static IReadOnlyDictionary<string, string> Resolve(
        GraphDocument document, GraphPlace place, string outFolder, DiagnosticList diagnostics, bool allowOutside = false)
    {
        var targets = new SortedDictionary<string, string>(StringComparer.Ordinal);
        for (var folder = outFolder; folder is not null; folder = Path.GetDirectoryName(folder))
        {
            if (!File.Exists(folder))
                continue;
            var inIt = folder == outFolder ? "" : $" would lie in {folder}, which";
            diagnostics.Add(new(
                DiagnosticCode.OutputUnwritable, document.File, default, $"the folder for the outputs, {outFolder},{inIt} is a file", "Name a folder, or a place where one can be made"));
            return targets;
        }

        var inputs = new TakenFiles();
        foreach (var (name, path) in place.Sources)
            inputs.Add(name, path);
        foreach (var stem in document.Stems.Where(stem => StemPath.Fault(stem.File.Value) is null))
            inputs.Add(Shown.WithFile("stem", stem.Id, stem.File.Value), Path.GetFullPath(Path.Combine(place.Folder, stem.File.Value)));

        var taken = new TakenFiles();
        foreach (var output in document.Outputs)
        {
            foreach (var (name, file) in FilesOf(document, output))
            {
                if (Resolve(document, output, file, outFolder, inputs, taken, diagnostics, allowOutside) is { } path)
                    targets.Add(name, path);
            }
        }

        return targets;
    }

    /// <summary>An output's files: what plans call them, and as written. Of stems whose parts cannot be told, the star stays; why, a rule tells.</summary>
    private static IEnumerable<(string Name, string File)> FilesOf(GraphDocument document, OutputEntry output) =>
        output.Kind == OutputKind.Stems && OutputFileName.Fault(output) is null && StemParts.Of(document, output) is { } parts
            ? parts.Names.Select(part => (StemParts.FileName(output, part), OutputFileName.Of(output, part)))
            : [(output.Id, output.File.Value)];

    private static string? Resolve(
        GraphDocument document, OutputEntry output, string file, string outFolder, TakenFiles inputs, TakenFiles taken, DiagnosticList diagnostics, bool allowOutside)
    {
        var subject = Shown.WithFile("output", output.Id, file);
        if ((file == output.File.Value ? OutputFileName.Fault(output) : OutputFileName.Fault(file)) is { } fault)
            return Refuse(DiagnosticCode.BadOutputFile, $"{subject}: {fault.Sentence}", fault.Remedy);
        var path = Path.GetFullPath(Path.Combine(outFolder, file));
        if (Directory.Exists(path))
            return Refuse(DiagnosticCode.BadOutputFile, $"{subject}: a folder has that name", "Give the file another name, or move the folder away");
        for (var folder = Path.GetDirectoryName(path)!; folder.Length > outFolder.Length; folder = Path.GetDirectoryName(folder)!)
        {
            if (File.Exists(folder))
                return Refuse(DiagnosticCode.BadOutputFile, $"{subject}: {Path.GetFileName(folder)} is a file, so nothing can lie in it", "Choose another folder");
        }

        if (inputs.Find(path) is { } input)
        {
            return Refuse(
                DiagnosticCode.OutputOverInput, $"{subject} would be written over {input.Name}{input.Why}", "Give the output another name, or write into another folder");
        }

        // A link in the file's own place is replaced, not followed.
        var physicalFolder = PhysicalPath.Of(Path.GetDirectoryName(path)!) + Path.DirectorySeparatorChar;
        if (!allowOutside && !PhysicalPath.IsWithin(physicalFolder, PhysicalPath.Of(outFolder)))
        {
            return Refuse(
                DiagnosticCode.PathOutside, $"{subject}: a link leads out of the folder of the outputs, to {physicalFolder}", "Name another folder, or, if you trust the graph, say --allow-outside");
        }

        if (taken.Find(path) is { } other)
            return Refuse(DiagnosticCode.OutputOverOutput, $"{subject} is the same file as {other.Name}{other.Why}", "Give one of them another name");
        taken.Add(subject, path);
        return path;

        string? Refuse(DiagnosticCode code, string sentence, string remedy)
        {
            diagnostics.Add(new(code, document.File, output.File.At, sentence, remedy));
            return null;
        }
    }
}
