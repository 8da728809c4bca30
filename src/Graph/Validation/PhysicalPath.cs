namespace RenderGraph.Graph.Validation;

/// <summary>Follows every link on the way to a file, of the file and of each folder above it.</summary>
public static class PhysicalPath
{
    /// <summary>As many links in a row as systems usually follow; more is a ring of links.</summary>
    private const int LinkLimit = 40;

    /// <summary>The full path without links. What does not exist, or may not be looked at, stays as it is.</summary>
    public static string Of(string fullPath) => Of(fullPath, LinkLimit);

    /// <summary>Whether a path lies in a folder, or in one in it. Both are full, without <c>..</c>.</summary>
    public static bool IsWithin(string path, string folder) =>
        path.StartsWith(Path.EndsInDirectorySeparator(folder) ? folder : folder + Path.DirectorySeparatorChar, StringComparison.Ordinal);

    private static string Of(string fullPath, int linksLeft)
    {
        var path = Path.GetPathRoot(fullPath)!;
        foreach (var part in fullPath[path.Length..].Split([Path.DirectorySeparatorChar, Path.AltDirectorySeparatorChar], StringSplitOptions.RemoveEmptyEntries))
        {
            path = Path.Combine(path, part);
            if (Target(path) is { } target && linksLeft-- > 0)
                path = Of(Path.GetFullPath(Path.Combine(Path.GetDirectoryName(path)!, target)), linksLeft);
        }

        return path;
    }

    private static string? Target(string path)
    {
        try
        {
            return new FileInfo(path).LinkTarget;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }
}
