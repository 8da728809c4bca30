using System.Text;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>
/// What an output may be called: a name that every usual system takes, so that one graph works on all of them. Of an output of several files the name has one star, in the place of which each file has its own.
/// </summary>
internal static class OutputFileName
{
    private const int PartLimitBytes = 255;

    private static readonly string[] Devices =
        ["CON", "PRN", "AUX", "NUL", .. Enumerable.Range(1, 9).SelectMany(number => (string[])[$"COM{(char)('0' + number)}", $"LPT{(char)('0' + number)}"])];

    /// <summary>In the name of an output of several files: what is each one's own.</summary>
    public const char Star = '*';

    /// <summary>Why the text cannot be the file of an output, or of all its files, or null.</summary>
    public static (string Sentence, string Remedy)? Fault(OutputEntry output)
    {
        var written = output.File.Value;
        if (output.Kind != OutputKind.Stems)
            return Fault(written);
        return written.Count(letter => letter == Star) == 1
            ? Fault(Of(output, "part"))
            : ("stems are several files, so their name must hold one star, where each has the name of its part", "Write \"parts/*.wav\"");
    }

    /// <summary>The name of one of several files.</summary>
    public static string Of(OutputEntry output, string part) => output.File.Value.Replace(Star.ToString(), part, StringComparison.Ordinal);

    /// <summary>Why the text cannot be an output's file, or null.</summary>
    public static (string Sentence, string Remedy)? Fault(string written)
    {
        if (string.IsNullOrWhiteSpace(written))
            return ("the name is empty", "Write a name, such as \"mix.wav\"");
        if (written[0] is '/' or '\\' || (written.Length > 1 && written[1] == ':'))
            return ("the path is absolute, but outputs lie in the folder of the outputs", "Write it from there, such as \"mix.wav\"; the command chooses the folder");
        if (written.Any(char.IsControl))
            return ("the name holds a control character", "A backslash in JSON begins an escape: write / between folders");
        if (written.IndexOfAny(['\\', ':', '*', '?', '"', '<', '>', '|']) is var place and >= 0)
        {
            return written[place] == '\\'
                ? ("a backslash stands in the name", "Write / between folders")
                : ($"the character {written[place]} is not allowed in file names on every system", "Use another character");
        }

        var depth = 0;
        foreach (var part in written.Split('/'))
        {
            depth += part switch { "" or "." => 0, ".." => -1, _ => 1 };
            if (depth < 0)
                return ("the path leaves the folder of the outputs", "Remove the .., and let the command choose the folder");
            if (part is not ("." or "..") && PartFault(part) is { } fault)
                return fault;
        }

        if (!written.EndsWith(".wav", StringComparison.OrdinalIgnoreCase))
            return ("outputs are WAV files, but the name does not end in .wav", $"Did you mean \"{WithWav(written)}\"?");
        return written.EndsWith("/.wav", StringComparison.OrdinalIgnoreCase) || written.Length == 4 ? ("nothing stands before .wav", "Write a name, such as \"mix.wav\"") : null;
    }

    private static (string Sentence, string Remedy)? PartFault(string part)
    {
        if (Encoding.UTF8.GetByteCount(part) > PartLimitBytes)
            return ("a name in the path is longer than 255 bytes", "Shorten it");
        if (part.EndsWith('.') || part.EndsWith(' '))
            return ("a name in the path ends in a full stop or a blank, which some systems drop", "Remove it");
        return Devices.Contains(part.Split('.')[0].ToUpperInvariant())
            ? ($"{part} is the name of a device on some systems", "Choose another name")
            : null;
    }

    private static string WithWav(string written)
    {
        var stop = written.LastIndexOf('.');
        return (stop > written.LastIndexOf('/') + 1 ? written[..stop] : written.TrimEnd('/')) + ".wav";
    }
}
