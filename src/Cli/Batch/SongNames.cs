using System.IO.Hashing;
using System.Text;
using RenderGraph.Cli.Analysis;
using RenderGraph.Graph.Validation;

namespace RenderGraph.Cli.Batch;

/// <summary>
/// What songs are called: their folders' names. Songs whose folders have the same name are told apart by the folders above, as many as it takes: <c>anna - project</c>. Names that some system takes for one and the
/// same (capital letters, composed accents), that a result has, or that are too long for a folder, end in eight digits of their own hash. So a name does not depend on the order of the songs, nor on where the tree of folders lies.
/// </summary>
internal static class SongNames
{
    private const int MostBytes = 255, KeptLetters = 60;

    /// <summary>One name for each folder, in the same order.</summary>
    /// <param name="folders">Full paths, each different from the others.</param>
    public static IReadOnlyList<string> Of(IReadOnlyList<string> folders)
    {
        var tails = folders.Select(TailOf).ToList();
        var depths = new int[folders.Count];
        Array.Fill(depths, 1);
        for (var isDone = false; !isDone;)
        {
            isDone = true;
            foreach (var alike in Enumerable.Range(0, folders.Count).GroupBy(NameAt).Where(alike => alike.Count() > 1).Select(alike => alike.ToList()).ToList())
            {
                foreach (var song in alike.Where(song => depths[song] < tails[song].Count))
                    (depths[song], isDone) = (depths[song] + 1, false);
            }
        }

        var names = Enumerable.Range(0, folders.Count).Select(NameAt).ToList();
        var spellings = names.ConvertAll(name => new FileSpelling(name));
        var byOutline = Enumerable.Range(0, names.Count).ToLookup(song => spellings[song].Outline);
        return [.. names.Select((name, song) => NeedsMark(song) ? Marked(name, tails[song].Take(depths[song])) : name)];

        string NameAt(int song) => string.Join(" - ", tails[song].Take(depths[song]).Reverse());

        bool NeedsMark(int song) =>
            ResultFiles.IsReserved(names[song]) || Encoding.UTF8.GetByteCount(names[song]) > MostBytes
            || byOutline[spellings[song].Outline].Any(other => other != song && spellings[song].IsSameFileAs(spellings[other]));
    }

    // The folder's own name first, then those above it. A folder that holds nothing but the stems has no name of its own.
    private static IReadOnlyList<string> TailOf(string folder)
    {
        if (StemFiles.IsStemsFolder(folder) && Path.GetFileName(Path.GetDirectoryName(folder)) is { Length: > 0 })
            folder = Path.GetDirectoryName(folder)!;
        var parts = new List<string>();
        for (var path = folder; path is not null; path = Path.GetDirectoryName(path))
        {
            if (Path.GetFileName(path) is { Length: > 0 } name)
                parts.Add(name);
        }

        return parts.Count > 0 ? parts : ["song"];
    }

    private static string Marked(string name, IEnumerable<string> tail)
    {
        var hash = XxHash128.Hash(Encoding.UTF8.GetBytes(string.Join('/', tail)));
        var kept = Encoding.UTF8.GetByteCount(name) > MostBytes - 9 ? string.Concat(name.EnumerateRunes().Take(KeptLetters)) : name;
        return $"{kept}~{Convert.ToHexStringLower(hash.AsSpan(0, 4))}";
    }
}
