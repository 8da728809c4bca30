using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Cli.Commands;

/// <summary>Arguments and options that several commands share, each with its own reading, so that a value never depends on the machine's culture.</summary>
internal static class Options
{
    private const int MostThreads = 256;

    /// <summary>What stands for a value in help; <see cref="UsageFault"/> knows what each of them is.</summary>
    public const string GraphName = "GRAPH", SongName = "FOLDER|GRAPH", StemsName = "FOLDER", FilesName = "FILE", ComparedName = "A|GRAPH", FileName = "FILE.wav", FolderName = "DIR", StemName = "STEM", DecibelsName = "DB", GraphFileName = "FILE.json", TimeName = "T", CountName = "N", NodeName = "NAME", RecipeName = "RECIPE", SongFolderName = "SONG", SongsName = "SONGS", PartsName = "PARTS";

    public static Argument<string> Graph()
    {
        var graph = new Argument<string>(GraphName) { Description = "The graph file: JSON, see graphs/README.md." };
        graph.Validators.Add(result =>
        {
            if (result.Tokens.Any(token => string.IsNullOrWhiteSpace(token.Value)))
                result.AddError($"{GraphName} is empty. Name the graph's file.");
        });
        return graph;
    }

    public static Argument<string> Recipe() => new(RecipeName) { Description = "A recipe: a graph whose stems say which files they match, see graphs/README.md." };

    public static Argument<string> SongFolder() => new(SongFolderName) { Description = "The folder of a song: its stems lie in it, or in a folder in it called stems, audio or wav." };

    public static Argument<string> Song() => new(SongName) { Description = "A folder of stems, or a graph: then its stems as it takes them, before anything is done to them." };

    public static Argument<string> Stems() => new(StemsName) { Description = "The folder that the stems lie in." };

    public static Option<int?> Threads() => Count("--threads", 1, MostThreads, "Workers. Left out: one a processor. The results do not depend on it.");

    public static Option<bool> AllowOutside() => new("--allow-outside")
    {
        Description = "Let the graph name stems outside its folder, and follow links that lead out of it.",
    };

    public static Option<bool> ForClass() => new("--class")
    {
        Description = "Also write what the songs have in common (class.md), and a sheet for each of them (sheet.md): what, where, why, and what to try.",
    };

    public static Option<bool> Json() => new("--json") { Description = "Print strict JSON instead of text." };

    public static Option<string?> Folder(string name, string description) => new(name)
    {
        Description = description,
        HelpName = FolderName,
        CustomParser = result => NotEmpty(result, name),
    };

    public static Option<string?> Text(string name, string helpName, string description) => new(name)
    {
        Description = description,
        HelpName = helpName,
        CustomParser = result => NotEmpty(result, name),
    };

    public static Option<double?> Time(string name, string description) => new(name)
    {
        Description = description,
        HelpName = TimeName,
        CustomParser = result =>
        {
            var text = result.Tokens[0].Value;
            if (SongTime.Parse(text) is { } seconds)
                return seconds;
            result.AddError($"{name} is \"{text}\", but a time was wanted: {SongTime.Wanted}.");
            return null;
        },
    };

    public static Option<int?> Count(string name, int least, int most, string description) => new(name)
    {
        Description = description,
        HelpName = CountName,
        CustomParser = result =>
        {
            var text = result.Tokens[0].Value;
            if (int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var count) && count >= least && count <= most)
                return count;
            result.AddError(string.Create(CultureInfo.InvariantCulture, $"{name} is \"{text}\", but a whole number from {least} to {most} was wanted."));
            return null;
        },
    };

    public static Option<double?> Number(string name, string helpName, double least, double most, string description) => new(name)
    {
        Description = description,
        HelpName = helpName,
        CustomParser = result =>
        {
            var text = result.Tokens[0].Value;
            if (double.TryParse(text, NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var number) && number >= least && number <= most)
                return number;
            result.AddError(string.Create(CultureInfo.InvariantCulture, $"{name} is \"{text}\", but a number from {least} to {most} was wanted."));
            return null;
        },
    };

    public static Option<string?> Anchor() => Text("--anchor", StemName, "The stem that owns the low end. Left out: it is found.");

    public static Option<string?> OneOf(string name, IReadOnlyList<string> choices, string description) => new(name)
    {
        Description = description,
        HelpName = string.Join("|", choices),
        CustomParser = result =>
        {
            var text = result.Tokens[0].Value;
            if (choices.Contains(text))
                return text;
            var near = NearestName.Of(text, choices);
            result.AddError($"{name} is \"{text}\", but one of {string.Join(", ", choices)} was wanted.{(near is null ? "" : $" Did you mean {near}?")}");
            return null;
        },
    };

    private static string? NotEmpty(ArgumentResult result, string name)
    {
        var text = result.Tokens[0].Value;
        if (text.Length > 0)
            return text;
        result.AddError($"{name} is empty. Leave it out, or give it a value.");
        return null;
    }
}
