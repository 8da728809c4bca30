using RenderGraph.Cli.Console;
using RenderGraph.Graph.Validation;

namespace RenderGraph.Cli.Batch;

/// <summary>The songs of a batch, by name, whatever the order in which they were given.</summary>
/// <param name="Faults">Sentences: what of the command line must be put right before anything is done.</param>
/// <param name="Notes">Sentences: what was passed over.</param>
internal sealed record SongList(IReadOnlyList<Song> Songs, IReadOnlyList<string> Faults, IReadOnlyList<string> Notes)
{
    /// <summary>Looks up what was typed: folders, and patterns of folders. A folder that is not there is a song too, one that will fail; a folder given twice is one song.</summary>
    /// <param name="outFolder">Where results go: never a song.</param>
    public static SongList Read(IReadOnlyList<string> typed, string outFolder)
    {
        var (faults, notes) = (new List<string>(), new List<string>());
        var outPath = PhysicalPath.Of(Path.GetFullPath(outFolder));
        var (folders, seen) = (new List<string>(), new HashSet<string>(StringComparer.Ordinal));
        foreach (var text in typed)
        {
            if (string.IsNullOrWhiteSpace(text))
            {
                faults.Add("a song's folder is an empty text. Name a folder.");
                continue;
            }

            foreach (var folder in FoldersOf(text, faults, notes))
            {
                var path = PhysicalPath.Of(Path.TrimEndingDirectorySeparator(Path.GetFullPath(folder)));
                if (path == outPath || PhysicalPath.IsWithin(path, outPath))
                    notes.Add($"{folder} is passed over: results lie there (--out).");
                else if (Directory.Exists(path) && HoldsResults(path))
                    notes.Add($"{folder} is passed over: it holds the results of a batch.");
                else if (PhysicalPath.IsWithin(outPath, path))
                    faults.Add($"--out {outFolder} lies in the song {folder}, where results would be taken for stems. Choose a folder outside.");
                else if (seen.Add(path))
                    folders.Add(folder);
            }
        }

        if (folders.Count == 0 && faults.Count == 0)
            faults.Add("there is no song. Name folders of stems, or a pattern such as \"songs/*\".");
        var names = SongNames.Of(folders.ConvertAll(folder => Path.TrimEndingDirectorySeparator(Path.GetFullPath(folder))));
        return new([.. folders.Select((folder, index) => new Song(names[index], folder)).OrderBy(song => song.Name, StringComparer.Ordinal)], faults, notes);
    }

    private static List<string> FoldersOf(string text, List<string> faults, List<string> notes)
    {
        if (Directory.Exists(text))
            return [text];
        if (File.Exists(text))
        {
            notes.Add($"{text} is passed over: it is a file, and a song is a folder.");
            return [];
        }

        if (!FolderPattern.Is(text))
            return [text];
        try
        {
            var found = FolderPattern.Find(text).ToList();
            if (found.Count == 0)
                faults.Add($"\"{text}\" matches no folder. * is any letters of a name and ? is one.");
            return found;
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            faults.Add($"\"{text}\" cannot be looked up ({failure.Message.TrimEnd('.')}). Allow yourself to read the folders in it.");
            return [];
        }
    }

    private static bool HoldsResults(string folder)
    {
        try
        {
            return ResultFiles.FindBatches(folder).Count > 0;
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            return false; // the song will tell
        }
    }
}
