using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>Explains a stem's path that leads nowhere.</summary>
internal static class StemPath
{
    /// <summary>Why the text cannot be a path at all, or null.</summary>
    public static (string Sentence, string Remedy)? Fault(string written)
    {
        if (string.IsNullOrWhiteSpace(written))
            return ("the path is empty", "Write the path of an audio file, from the graph's folder");
        return written.Any(char.IsControl)
            ? ("the path holds a control character", "A backslash in JSON begins an escape: write / between folders")
            : null;
    }

    /// <summary>Why the path leaves the graph's folder, or null. A graph may come from anywhere: it cannot have files read that have nothing to do with it.</summary>
    /// <param name="written">As in the graph.</param>
    /// <param name="path">The full path.</param>
    /// <param name="folder">The graph's, in full.</param>
    public static string? Outside(string written, string path, string folder)
    {
        if (!PhysicalPath.IsWithin(path, folder))
            return Path.IsPathRooted(written) ? "the path does not lead into the graph's folder" : "the path leaves the graph's folder";
        var physical = PhysicalPath.Of(path);
        return PhysicalPath.IsWithin(physical, PhysicalPath.Of(folder)) ? null : $"a link leads out of the graph's folder, to {physical}";
    }

    /// <summary>The file in the same folder whose name is nearest, spelled as the graph would; null if none is near or the folder cannot be read.</summary>
    public static string? Nearest(string written, string path)
    {
        if (!OperatingSystem.IsWindows() && written.Contains('\\', StringComparison.Ordinal))
            return written.Replace('\\', '/');
        var folder = Path.GetDirectoryName(path);
        if (folder is null || !Directory.Exists(folder))
            return null;
        try
        {
            var near = NearestName.Of(Path.GetFileName(path), Directory.EnumerateFiles(folder).Select(file => Path.GetFileName(file)));
            return near is null ? null : written[..(written.LastIndexOf('/') + 1)] + near;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }
}
