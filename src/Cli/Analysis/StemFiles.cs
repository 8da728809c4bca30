using RenderGraph.Cli.Console;
using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Cli.Analysis;

/// <summary>Which files of a folder count as stems.</summary>
internal static class StemFiles
{
    // What a file is, its content says; these are the names under which content is looked at.
    private static readonly string[] AudioEndings =
        [".wav", ".wave", ".bwf", ".rf64", ".w64", ".aif", ".aiff", ".aifc", ".flac", ".caf", ".au", ".ogg", ".opus", ".mp3", ".m4a", ".wv"];

    // A finished mix beside the stems would be measured as one more stem, and a render taken as its own input.
    private static readonly string[] MixWords = ["mix", "mixdown", "master", "premaster", "bounce", "monitor"];

    // A folder called so lies in the song's.
    private static readonly string[] StemsNames = ["stems", "audio", "wav"];

    /// <summary>The song's name, as the folders tell it.</summary>
    public static string TitleOf(string folder)
    {
        var full = Path.TrimEndingDirectorySeparator(Path.GetFullPath(folder));
        return IsStemsFolder(full) && Path.GetFileName(Path.GetDirectoryName(full)) is { Length: > 0 } song ? song : Path.GetFileName(full);
    }

    /// <summary>Whether a folder is by its name the one in a song's folder that holds the stems.</summary>
    public static bool IsStemsFolder(string path) => StemsNames.Contains(Path.GetFileName(path).ToLowerInvariant());

    /// <summary>Paths of the stems that lie in a folder itself, by name. Finished mixes are left out, with a word.</summary>
    /// <param name="except">A file that is no stem, or null.</param>
    /// <param name="otherwise">What else may be done with a file that is left out.</param>
    public static IEnumerable<string> In(string folder, string? except, DiagnosticList diagnostics, string otherwise = "Compare the stems with it by --against, or give it another name")
    {
        string[] paths;
        try
        {
            paths = Directory.GetFiles(folder);
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            diagnostics.Add(new(DiagnosticCode.StemUnreadable, Say.Path(Path.GetFullPath(folder)), default, $"the folder cannot be read ({failure.Message.TrimEnd('.')})", "Allow yourself to read it"));
            yield break;
        }

        var excepted = except is null ? null : Path.GetFullPath(except);
        foreach (var path in paths.Order(StringComparer.Ordinal))
        {
            var name = Path.GetFileName(path);
            if (name.StartsWith('.') || !AudioEndings.Contains(Path.GetExtension(name).ToLowerInvariant()) || Path.GetFullPath(path) == excepted)
                continue;
            if (name.ToLowerInvariant().Split([' ', '-', '_', '.', '(', ')']).Any(word => MixWords.Contains(word)))
            {
                diagnostics.Add(new(
                    DiagnosticCode.Unused, Say.Path(Path.GetFullPath(path)), default, "by its name this is a finished mix, not a stem, and it is left out", otherwise, Severity.Warning));
                continue;
            }

            yield return path;
        }
    }
}
