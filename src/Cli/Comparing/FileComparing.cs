using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.Measures.Comparing;

namespace RenderGraph.Cli.Comparing;

/// <summary>Compares finished files.</summary>
internal static class FileComparing
{
    private static readonly string[] Endings = [".wav", ".wave", ".bwf", ".rf64", ".w64", ".aif", ".aiff", ".aifc", ".flac", ".ogg", ".oga", ".mp3"];

    /// <summary>Two files; null, after noting why, if either cannot be read.</summary>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static Comparison? OfFiles(CommandSetting setting, string before, string after, DiagnosticList diagnostics)
    {
        var (first, second) = (Open(before), Open(after));
        try
        {
            if (first is null || second is null)
                return null;
            var notes = new List<string>();
            if (second.Format.SampleRateHz != first.Format.SampleRateHz)
            {
                notes.Add($"{after} has {Say.Whole(second.Format.SampleRateHz)} Hz and is converted to the {Say.Whole(first.Format.SampleRateHz)} Hz of {before}.");
                second = setting.Files.ConvertRate(second, first.Format.SampleRateHz);
            }

            var pair = FilePair.Measure(first, second, setting.Cancellation);
            var rate = first.Format.SampleRateHz;
            if (pair.HeardFrames < Math.Max(first.Format.LengthFrames, second.Format.LengthFrames))
                notes.Add($"Only the {Say.Length(pair.HeardFrames, rate)} that both have in common are compared: {before} lasts {Say.Length(first.Format.LengthFrames, rate)}, {after} {Say.Length(second.Format.LengthFrames, rate)}.");
            return new(before, after, rate, pair.HeardFrames, pair.Change) { ShiftFrames = pair.ShiftFrames, Notes = notes };
        }
        catch (StemException failure)
        {
            diagnostics.Add(new(failure.Code, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
            return null;
        }
        finally
        {
            first?.Dispose();
            second?.Dispose();
        }

        IStemReader? Open(string path) => setting.Files.OpenStem(
            new(Path.GetFullPath(path)), (code, severity, sentence, remedy) => diagnostics.Add(new(code, path, default, sentence, remedy, severity)));
    }

    /// <summary>The audio files of two folders that have the same name.</summary>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static IReadOnlyList<Comparison> OfFolders(CommandSetting setting, string before, string after, DiagnosticList diagnostics)
    {
        try
        {
            var (first, second) = (NamesIn(before), NamesIn(after));
            var common = first.Where(second.Contains).ToList();
            if (common.Count == 0)
            {
                diagnostics.Add(new(
                    DiagnosticCode.StemMissing, after, default, $"it has no audio file with the name of one in {before}, so there is nothing to compare", "Name two folders that hold renders of the same outputs"));
            }

            foreach (var name in first.Concat(second).Distinct(StringComparer.Ordinal).Where(name => !common.Contains(name)).Order(StringComparer.Ordinal))
            {
                var (there, missing) = first.Contains(name) ? (before, after) : (after, before);
                diagnostics.Add(new(DiagnosticCode.StemMissing, Path.Combine(there, name), default, $"there is no such file in {missing}, so it is not compared", "Render it there too, if it matters", Severity.Warning));
            }

            return [.. common.Select(name => OfFiles(setting, Path.Combine(before, name), Path.Combine(after, name), diagnostics)).OfType<Comparison>()];
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            diagnostics.Add(new(DiagnosticCode.StemUnreadable, before, default, $"the folders cannot be looked into: {failure.Message.TrimEnd('.')}", "Check their names and your rights"));
            return [];
        }
    }

    private static List<string> NamesIn(string folder) =>
        [.. Directory.EnumerateFiles(folder).Select(path => Path.GetFileName(path)).Where(name => Endings.Contains(Path.GetExtension(name), StringComparer.OrdinalIgnoreCase)).Order(StringComparer.Ordinal)];
}
