using System.Globalization;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Cli.Analysis;

/// <summary>The audio files that lie in a folder, opened as the stems of a song. Files in folders below are not looked at. Owns the readers.</summary>
internal sealed class StemFolder : IDisposable
{
    private const int MostNameLetters = 64;

    private StemFolder(string title, IReadOnlyList<FolderStem> stems, int sampleRateHz) => (Title, Stems, SampleRateHz) = (title, stems, sampleRateHz);

    /// <summary>The song's name, as the folders tell it.</summary>
    public string Title { get; }

    /// <summary>By file name.</summary>
    public IReadOnlyList<FolderStem> Stems { get; }

    /// <summary>The rate that most of them have; the others are converted to it.</summary>
    public int SampleRateHz { get; }

    /// <summary>Opens every audio file in a folder. What is left out, and why, is noted; an empty list of stems is an error.</summary>
    /// <param name="except">A file that is no stem, or null.</param>
    public static StemFolder Open(CommandSetting setting, string folder, string? except, DiagnosticList diagnostics)
    {
        var title = StemFiles.TitleOf(folder);
        var opened = new List<(string Name, string FileName, IStemReader Reader)>();
        foreach (var path in StemFiles.In(folder, except, diagnostics))
        {
            var reader = setting.Files.OpenStem(
                new(Path.GetFullPath(path)), (code, severity, sentence, remedy) => diagnostics.Add(new(code, Say.Path(Path.GetFullPath(path)), default, sentence, remedy, severity)));
            if (reader is not null)
                opened.Add((NameOf(Path.GetFileNameWithoutExtension(path), opened.ConvertAll(stem => stem.Name)), Path.GetFileName(path), reader));
        }

        if (opened.Count == 0)
        {
            if (!diagnostics.HasErrors)
                diagnostics.Add(new(DiagnosticCode.StemMissing, Say.Path(Path.GetFullPath(folder)), default, "there are no audio files in this folder", "Name the folder that the stems lie in"));
            return new(title, [], 0);
        }

        // GroupBy keeps the order and MaxBy takes the first of equals.
        var rateHz = opened.GroupBy(stem => stem.Reader.Format.SampleRateHz).MaxBy(stems => stems.Count())!.Key;
        return new(title, [.. opened.Select(stem => AtRate(stem.Name, stem.FileName, stem.Reader))], rateHz);

        FolderStem AtRate(string name, string fileName, IStemReader reader)
        {
            if (reader.Format.SampleRateHz == rateHz)
                return new(name, fileName, reader, false);
            diagnostics.Add(new(
                DiagnosticCode.RateConverted, Say.Path(Path.GetFullPath(Path.Combine(folder, fileName))), default,
                string.Create(CultureInfo.InvariantCulture, $"it has {reader.Format.SampleRateHz} Hz and is measured at the {rateHz} Hz of the others"),
                "Export it at their rate, or let the graph convert it: \"resample\": true", Severity.Warning));
            return new(name, fileName, setting.Files.ConvertRate(reader, rateHz), true);
        }
    }

    /// <summary>Closes the stems.</summary>
    public void Dispose()
    {
        foreach (var stem in Stems)
            stem.Reader.Dispose();
    }

    /// <summary>Letters, digits, hyphens and underlines, a letter first, and not yet taken.</summary>
    private static string NameOf(string fileName, List<string> taken)
    {
        var letters = new string([.. fileName.Select(letter => char.IsAsciiLetterOrDigit(letter) || letter is '-' or '_' ? letter : '-')]).Trim('-', '_');
        while (letters.Contains("--", StringComparison.Ordinal))
            letters = letters.Replace("--", "-", StringComparison.Ordinal);
        if (letters.Length == 0 || !char.IsAsciiLetter(letters[0]))
            letters = letters.Length == 0 ? "stem" : $"s{letters}";
        letters = letters[..Math.Min(letters.Length, MostNameLetters - 4)];
        var name = letters;
        for (var number = 2; taken.Contains(name); number++)
            name = string.Create(CultureInfo.InvariantCulture, $"{letters}-{number}");
        return name;
    }
}
