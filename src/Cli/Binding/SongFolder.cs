using RenderGraph.Cli.Analysis;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Validation;

namespace RenderGraph.Cli.Binding;

/// <summary>
/// A song as a folder: its stems lie in it or in a folder in it that is called stems, audio or wav, and what is different in this song stands in its song.json. Folders further down are not looked into.
/// </summary>
/// <param name="Path">As the user typed it.</param>
internal sealed record SongFolder(string Path)
{
    /// <summary>What a song says differently from its recipe.</summary>
    public const string OwnFileName = "song.json";

    /// <summary>The folder's full path.</summary>
    public string FullPath { get; } = System.IO.Path.TrimEndingDirectorySeparator(System.IO.Path.GetFullPath(Path));

    /// <summary>The song's name, unless its own file says another.</summary>
    public string Title => StemFiles.TitleOf(FullPath);

    private string OwnFilePath => System.IO.Path.Combine(Path, OwnFileName);

    /// <summary>A recipe bound to this song, to be rendered without being written down first.</summary>
    public GraphSource Source(Recipe recipe) => new(PlaceOf(recipe), (_, diagnostics) => Bind(recipe, diagnostics)?.Document);

    /// <summary>Where a graph of this song comes from, if it is bound in memory: paths count from its folder.</summary>
    public GraphPlace PlaceOf(Recipe recipe) => new(
        FullPath, Path,
        [("the recipe", System.IO.Path.GetFullPath(recipe.File)), .. File.Exists(OwnFilePath) ? [("the song's own file", System.IO.Path.GetFullPath(OwnFilePath))] : Array.Empty<(string, string)>()]);

    /// <summary>Binds a recipe to this song.</summary>
    /// <param name="prefix">The way from the graph's folder to this one, ending in <c>/</c>; empty if they are one.</param>
    /// <returns>Null after noting why it cannot be.</returns>
    public BoundSong? Bind(Recipe recipe, DiagnosticList diagnostics, string prefix = "")
    {
        if (!Directory.Exists(Path))
        {
            diagnostics.Add(new(
                DiagnosticCode.StemMissing, Path, default, File.Exists(Path) ? "this is a file, but a song is a folder" : "this folder is not there",
                File.Exists(Path) ? "Name the folder that it lies in" : "Check the path; it counts from the folder that the command runs in"));
            return null;
        }

        var since = new DiagnosticList();
        var files = Files(since);
        var own = File.Exists(OwnFilePath) || Directory.Exists(OwnFilePath) ? GraphFile.Read(OwnFilePath, since, "song") : null;
        var bound = since.HasErrors ? null : recipe.Bind(new(Title, files, own is { } utf8 ? (OwnFilePath, utf8) : null), since, prefix);
        var named = bound?.Files.Select(file => Say.Path(System.IO.Path.GetFullPath(System.IO.Path.Combine(Path, file.File)))).ToHashSet(StringComparer.Ordinal);

        // A finished mix by its name that the song names as a stem all the same is none.
        foreach (var finding in since.InOrder.Where(finding => finding.Code != DiagnosticCode.Unused || named?.Contains(finding.File) != true))
            diagnostics.Add(finding);
        return bound;
    }

    // Some systems would take it for song.json, others not: then the song would be another on each.
    private IEnumerable<string> OtherSpellings()
    {
        try
        {
            return [.. Directory.EnumerateFiles(Path).Where(path => System.IO.Path.GetFileName(path) is var name && name != OwnFileName && name.Equals(OwnFileName, StringComparison.OrdinalIgnoreCase))];
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            return [];
        }
    }

    private List<string> Files(DiagnosticList diagnostics)
    {
        const string Otherwise = "If it is a stem, name it in song.json as the file of one";
        var folders = new List<string> { Path };
        try
        {
            folders.AddRange(Directory.GetDirectories(Path).Where(StemFiles.IsStemsFolder).Order(StringComparer.Ordinal));
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            // The files are asked for next, and say why.
        }

        foreach (var other in OtherSpellings())
        {
            diagnostics.Add(new(
                DiagnosticCode.Unused, Say.Path(System.IO.Path.GetFullPath(other)), default, $"nothing reads this file: what a song says differently stands in {OwnFileName}, written so",
                $"Call it {OwnFileName}", Severity.Warning));
        }

        var files = folders.SelectMany(folder => StemFiles.In(folder, except: null, diagnostics, Otherwise).Select(path => System.IO.Path.GetRelativePath(Path, path).Replace(System.IO.Path.DirectorySeparatorChar, '/'))).ToList();
        if (files.Count == 0 && !diagnostics.HasErrors && !File.Exists(OwnFilePath))
        {
            diagnostics.Add(new(
                DiagnosticCode.StemMissing, Say.Path(FullPath), default, "there are no audio files in this folder, nor in one in it that is called stems, audio or wav",
                "Name the folder of a song"));
        }

        return files;
    }
}
