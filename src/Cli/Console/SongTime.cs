using System.Globalization;

namespace RenderGraph.Cli.Console;

/// <summary>Times in a song as people write them: <c>12.5</c> seconds, or <c>1:02.5</c>.</summary>
internal static class SongTime
{
    /// <summary>What may be written, for messages.</summary>
    public const string Wanted = "seconds (12.5) or minutes and seconds (0:12.5)";

    private const int MostDigits = 9;

    /// <summary>Seconds, or null if the text is not such a time. A decimal comma, a sign, or 60 seconds and more after a colon are refused.</summary>
    public static double? Parse(string text)
    {
        var parts = text.Split(':');
        if (parts.Length == 1)
            return Plain(parts[0]);
        if (parts.Length != 2 || parts[0].Length is 0 or > MostDigits || !parts[0].All(char.IsAsciiDigit))
            return null;
        return Plain(parts[1]) is { } seconds && seconds < 60
            ? (60 * double.Parse(parts[0], NumberStyles.None, CultureInfo.InvariantCulture)) + seconds
            : null;
    }

    /// <summary><c>0:12.500</c>: always three decimals, so that columns line up.</summary>
    public static string Write(double seconds)
    {
        var milliseconds = (long)Math.Round(seconds * 1000, MidpointRounding.AwayFromZero);
        return string.Create(CultureInfo.InvariantCulture, $"{milliseconds / 60_000}:{milliseconds / 1000 % 60:00}.{milliseconds % 1000:000}");
    }

    /// <summary><c>0m12.5s</c>: as part of a file name, without a colon and without needless zeros.</summary>
    public static string WriteForFileName(double seconds)
    {
        var milliseconds = (long)Math.Round(seconds * 1000, MidpointRounding.AwayFromZero);
        return string.Create(CultureInfo.InvariantCulture, $"{milliseconds / 60_000}m{milliseconds % 60_000 / 1000.0:0.###}s");
    }

    /// <summary><c>5.2.75</c>: bar, beat and hundredths of a beat, bars of four beats counted from 1 at the song's start.</summary>
    public static string WriteBar(double seconds, double tempoBpm)
    {
        var hundredths = (long)Math.Round(seconds * tempoBpm / 60 * 100, MidpointRounding.AwayFromZero);
        return string.Create(CultureInfo.InvariantCulture, $"{(hundredths / 400) + 1}.{(hundredths / 100 % 4) + 1}.{hundredths % 100:00}");
    }

    private static double? Plain(string text) =>
        text.Length > 0 && char.IsAsciiDigit(text[0]) && text.Split('.')[0].Length <= MostDigits
        && double.TryParse(text, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var seconds)
            ? seconds
            : null;
}
