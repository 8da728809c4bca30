namespace RenderGraph.Cli.Console;

/// <summary>Where a command talks to: results go to <paramref name="Out"/>, everything else to <paramref name="Error"/>.</summary>
/// <param name="WidthColumns">Longer text is wrapped here.</param>
/// <param name="ShowsProgress">Somebody is watching <paramref name="Error"/>, so a moving bar is welcome.</param>
internal sealed record Terminal(TextWriter Out, TextWriter Error, int WidthColumns = Terminal.DefaultWidthColumns, bool ShowsProgress = false)
{
    /// <summary>Without a terminal to ask: the same text in every log.</summary>
    public const int DefaultWidthColumns = 100;

    private const int LeastWidthColumns = 60, MostWidthColumns = 120;

    /// <summary>The process's own terminal. A result piped into a file is as wide everywhere.</summary>
    public static Terminal OfProcess()
    {
        var width = System.Console.IsOutputRedirected ? DefaultWidthColumns : WindowWidthColumns();
        return new(System.Console.Out, System.Console.Error, Math.Clamp(width, LeastWidthColumns, MostWidthColumns), IsWatched());
    }

    private static bool IsWatched() =>
        !System.Console.IsErrorRedirected && Environment.GetEnvironmentVariable("TERM") is not "dumb" && Environment.GetEnvironmentVariable("CI") is null;

    private static int WindowWidthColumns()
    {
        try
        {
            return System.Console.WindowWidth - 1;
        }
        catch (IOException)
        {
            return DefaultWidthColumns;
        }
    }
}
