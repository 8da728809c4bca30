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
        var songs = folders.Select(folder => new Naming(TailOf(folder))).ToList();
        for (var isDone = false; !isDone;)
        {
            isDone = true;
            foreach (var song in songs.GroupBy(song => song.Name, StringComparer.Ordinal).Where(alike => alike.Count() > 1).SelectMany(alike => alike).Where(song => song.CanBeLonger).ToList())
            {
                song.Lengthen();
                isDone = false;
            }
        }

        var byOutline = songs.ToLookup(song => song.Spelling.Outline, StringComparer.Ordinal);
        return songs.ConvertAll(song => NeedsMark(song) ? song.Marked() : song.Name);

        bool NeedsMark(Naming song) =>
            ResultFiles.IsReserved(song.Name) || Encoding.UTF8.GetByteCount(song.Name) > MostBytes
            || byOutline[song.Spelling.Outline].Any(other => other != song && song.Spelling.IsSameFileAs(other.Spelling));
    }

    // The folder's own name first, then those above it. A folder that holds nothing but the stems has no name of its own.
    private static List<string> TailOf(string folder)
    {
        if (StemFiles.IsStemsFolder(folder) && Path.GetFileName(Path.GetDirectoryName(folder)) is { Length: > 0 })
            folder = Path.GetDirectoryName(folder)!;
        var parts = new List<string>();
        for (var path = folder; path is not null; path = Path.GetDirectoryName(path))
        {
            if (Path.GetFileName(path) is { Length: > 0 } name)
                parts.Add(name);
        }

        if (parts.Count == 0)
            parts.Add("song");
        return parts;
    }

    /// <param name="tail">The folder's own name, then those above it.</param>
    private sealed class Naming(IReadOnlyList<string> tail)
    {
        private int _depth = 1;

        public string Name { get; private set; } = tail[0];

        public FileSpelling Spelling => field?.Path == Name ? field : field = new(Name);

        public bool CanBeLonger => _depth < tail.Count;

        public void Lengthen() => Name = $"{tail[_depth++]} - {Name}";

        public string Marked()
        {
            var hash = XxHash128.Hash(Encoding.UTF8.GetBytes(string.Join('/', tail.Take(_depth))));
            var kept = Encoding.UTF8.GetByteCount(Name) > MostBytes - 9 ? string.Concat(Name.EnumerateRunes().Take(KeptLetters)) : Name;
            return $"{kept}~{Convert.ToHexStringLower(hash.AsSpan(0, 4))}";
        }
    }
}
