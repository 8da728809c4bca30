using System.IO.Enumeration;

namespace RenderGraph.Cli.Batch;

/// <summary>
/// Folders by a pattern such as <c>albums/*/song ?</c>: <c>*</c> is any letters and <c>?</c> one, within a name; brackets are letters, for many a name holds them. What begins with a full stop is hidden and only
/// matches a full stop. Shells do the same, but not all of them, and not past some thousands of names.
/// </summary>
internal static class FolderPattern
{
    private static readonly char[] Wildcards = ['*', '?'];

    public static bool Is(string text) => text.IndexOfAny(Wildcards) >= 0;

    /// <summary>All folders that match, by name.</summary>
    /// <exception cref="IOException">A folder on the way cannot be read.</exception>
    /// <exception cref="UnauthorizedAccessException">A folder on the way may not be read.</exception>
    public static IEnumerable<string> Find(string pattern)
    {
        var root = Path.GetPathRoot(pattern)!;
        var parts = pattern[root.Length..].Split([Path.DirectorySeparatorChar, Path.AltDirectorySeparatorChar], StringSplitOptions.RemoveEmptyEntries);
        return parts.Aggregate((IEnumerable<string>)[root], (folders, part) => folders.SelectMany(folder => Within(folder, part)));
    }

    private static IEnumerable<string> Within(string folder, string part)
    {
        if (!Is(part))
            return Directory.Exists(Path.Combine(folder, part)) ? [Path.Combine(folder, part)] : [];
        return Directory.GetDirectories(folder.Length == 0 ? "." : folder)
            .Select(path => Path.GetFileName(path))
            .Where(name => (!name.StartsWith('.') || part.StartsWith('.')) && FileSystemName.MatchesSimpleExpression(part, name, ignoreCase: false))
            .Order(StringComparer.Ordinal)
            .Select(name => Path.Combine(folder, name));
    }
}
