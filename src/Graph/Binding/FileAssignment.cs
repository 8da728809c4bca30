using System.Text;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using static System.FormattableString;

namespace RenderGraph.Graph.Binding;

/// <summary>Shares a song's files out among a recipe's stems: each goes to the first stem, in the order written, that takes a name like its own.</summary>
internal sealed class FileAssignment
{
    private const int MostTold = 20, MostShown = 8;

    private readonly GraphDocument _recipe;
    private readonly TextPosition _stemsAt;
    private readonly DiagnosticList _diagnostics;
    private readonly Dictionary<string, List<(string File, NamePattern? Pattern)>> _taken = new(StringComparer.Ordinal);
    private readonly List<(string File, NamePattern Pattern)> _leftOut = [];
    private readonly List<string> _leftOver = [];

    private FileAssignment(GraphDocument recipe, TextPosition stemsAt, DiagnosticList diagnostics) => (_recipe, _stemsAt, _diagnostics) = (recipe, stemsAt, diagnostics);

    /// <summary>Files that the recipe, or the song, says are no stems, and the pattern that says so.</summary>
    public IReadOnlyList<(string File, NamePattern Pattern)> LeftOut => _leftOut;

    /// <summary>The files of a stem, each with the pattern that took it; empty if it has none.</summary>
    public IReadOnlyList<(string File, NamePattern? Pattern)> Of(string stem) => _taken.GetValueOrDefault(stem, []);

    /// <summary>Assigns every file; what goes to no stem, or leaves a stem with none or too many, is noted.</summary>
    /// <param name="files">From the song's folder, <c>/</c> between folders.</param>
    /// <param name="absent">Stems that the song says it does not have: they take nothing.</param>
    /// <param name="stemsAt">Where the recipe's stems begin.</param>
    public static FileAssignment Of(GraphDocument recipe, IReadOnlyList<string> files, IReadOnlySet<string> absent, TextPosition stemsAt, DiagnosticList diagnostics)
    {
        var assignment = new FileAssignment(recipe, stemsAt, diagnostics);
        var stems = recipe.Stems.Where(stem => stem.Match is not null && !absent.Contains(stem.Id)).ToList();
        assignment.TakeNamed(stems);
        assignment.TakeMatching(stems, [.. files.Order(StringComparer.Ordinal)]);
        foreach (var stem in stems)
            assignment.Judge(stem);
        if (recipe.LeftOut.Count == 0 && recipe.HasAllNames) // else a stem at fault might take them
            assignment.ReportLeftOver();
        return assignment;
    }

    private static string NameOf(string file) => Path.GetFileNameWithoutExtension(file);

    // Half a surrogate pair, which some systems let into names, or what stands for bytes that are no UTF-8.
    private static bool IsText(string file) => !file.EnumerateRunes().Contains(Rune.ReplacementChar);

    // The same file under one spelling.
    private static string Plain(string file)
    {
        var parts = new List<string>();
        foreach (var part in file.Split('/').Where(part => part is not ("" or ".")))
        {
            if (part == ".." && parts is [.., not ".."])
                parts.RemoveAt(parts.Count - 1);
            else
                parts.Add(part);
        }

        return string.Join('/', parts);
    }

    private void TakeNamed(List<StemEntry> stems)
    {
        foreach (var stem in stems.Where(stem => stem.Match!.Files.Count > 0))
            _taken.Add(stem.Id, [.. stem.Match!.Files.Select(file => (file.Value, (NamePattern?)null))]);
    }

    private void TakeMatching(List<StemEntry> stems, IReadOnlyList<string> files)
    {
        var named = _taken.Values.SelectMany(list => list).Select(taken => Plain(taken.File)).ToHashSet(StringComparer.Ordinal);
        foreach (var file in files.Where(file => !named.Contains(file)))
        {
            if (!IsText(file))
            {
                Report(DiagnosticCode.LeftOver, _stemsAt, $"the name of \"{Shown.Short(file)}\" is not text, so no graph can name it", "Give the file another name");
                continue;
            }

            var name = WrittenCharacter.Split(NameOf(file));
            if (_recipe.LeaveOut.FirstOrDefault(pattern => pattern.Fits(name)) is { } leaveOut)
            {
                _leftOut.Add((file, leaveOut));
                continue;
            }

            var (taker, by) = stems.Select(stem => (stem, Pattern: stem.Match!.Taking(name))).FirstOrDefault(candidate => candidate.Pattern is not null);
            if (by is null)
            {
                _leftOver.Add(file);
                continue;
            }

            if (!_taken.TryGetValue(taker.Id, out var list))
                _taken.Add(taker.Id, list = []);
            list.Add((file, by));
        }
    }

    private void Judge(StemEntry stem)
    {
        var (match, taken) = (stem.Match!, Of(stem.Id));
        if (taken.Count > 1 && !match.IsMany)
        {
            Report(
                DiagnosticCode.MatchedTwice, match.At,
                Invariant($"stem \"{stem.Id}\" takes one file, but {taken.Count} match: {Some(taken.Select(file => $"\"{Shown.Short(file.File)}\" by \"{Shown.Short(file.Pattern!.Written)}\""))}"),
                "Narrow the pattern, exclude with \"!...\", or add \"many\": true to have them summed; for this song alone, name its file in song.json");
        }

        if (taken.Count == 0 && !match.IsOptional)
            Report(DiagnosticCode.NothingMatches, match.At, $"nothing in the song is stem \"{stem.Id}\": no file's name is like {PatternsOf(match)}", RemedyOfNothing(stem));
    }

    private string RemedyOfNothing(StemEntry stem)
    {
        var match = stem.Match!;
        foreach (var earlier in _recipe.Stems.TakeWhile(other => other.Id != stem.Id))
        {
            if (Of(earlier.Id).FirstOrDefault(file => file.Pattern is not null && match.Taking(NameOf(file.File)) is not null) is { File: { } file })
                return $"Write stem \"{stem.Id}\" before stem \"{earlier.Id}\", which takes \"{Shown.Short(file)}\" now, or narrow the pattern there";
        }

        if (_leftOut.FirstOrDefault(file => match.Taking(NameOf(file.File)) is not null) is { File: { } leftOut })
            return $"Narrow \"{RecipeKeys.LeaveOut}\", which leaves \"{Shown.Short(leftOut)}\" out, or name the file in song.json";
        var all = _taken.Values.SelectMany(list => list).Select(file => file.File).Concat(_leftOver).ToList();
        if (all.Find(file => match.Patterns.Any(pattern => pattern.Fits(Path.GetFileName(file)))) is { } whole)
            return $"Write the pattern without the ending: \"{Shown.Short(whole)}\" is taken as \"{Shown.Short(NameOf(whole))}\"";
        if (NearestFile(stem) is { } near)
            return $"Did you mean \"{Shown.Short(near)}\"? Then widen the pattern, or write in song.json: \"stems\": {{ \"{stem.Id}\": {{ \"file\": \"{near}\" }} }}";
        return all.Count > 0
            ? $"Name its file in song.json, or let the recipe say that the stem is \"optional\": true. There are {Some(all.Select(file => $"\"{Shown.Short(file)}\""))}"
            : "Name the folder that the song's stems lie in";
    }

    // A word of a name that is nearly the stem's name, or nearly a word of its patterns.
    private string? NearestFile(StemEntry stem)
    {
        var wanted = stem.Match!.Patterns.Where(pattern => !pattern.IsExclusion).SelectMany(pattern => Words(pattern.Written)).Prepend(stem.Id).Where(word => word.Length > 2).ToList();
        return _leftOver.Take(MostTold).FirstOrDefault(file => Words(NameOf(file)).Append(NameOf(file)).Any(word => word.Length > 2 && NearestName.Of(word, wanted) is not null));
    }

    private static string[] Words(string text) => text.Split([' ', '-', '_', '.', '*', '?', '[', ']', '(', ')'], StringSplitOptions.RemoveEmptyEntries);

    private void ReportLeftOver()
    {
        foreach (var file in _leftOver.Take(MostTold))
        {
            Report(
                DiagnosticCode.LeftOver, _stemsAt, $"\"{Shown.Short(file)}\" goes to no stem: no pattern is like its name",
                $"Let a stem take it, or leave it out: \"{RecipeKeys.LeaveOut}\": [\"{NamePattern.Literal(NameOf(file))}\"], here or in song.json");
        }

        if (_leftOver.Count > MostTold)
        {
            Report(
                DiagnosticCode.LeftOver, _stemsAt, Invariant($"and {_leftOver.Count - MostTold} more files go to no stem"),
                "If they belong to the song, end the stems with one that takes what is left: \"match\": \"*\", \"many\": true, \"optional\": true");
        }
    }

    private static string PatternsOf(StemMatch match) => Shown.Names(match.Patterns.Take(MostShown).Select(pattern => $"\"{Shown.Short(pattern.Written)}\""), "or");

    private static string Some(IEnumerable<string> items)
    {
        var all = items.Take(MostShown + 1).ToList();
        return string.Join(", ", all.Take(MostShown)) + (all.Count > MostShown ? ", ..." : "");
    }

    private void Report(DiagnosticCode code, TextPosition at, string sentence, string remedy) => _diagnostics.Add(new(code, _recipe.File, at, sentence, remedy));
}
