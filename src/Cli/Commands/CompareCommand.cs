using System.CommandLine;
using RenderGraph.Cli.Comparing;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Cli.Commands;

/// <summary><c>compare</c>: whether a treatment helped, by numbers that level cannot fool.</summary>
internal static class CompareCommand
{
    public static Command Create(CommandSetting setting)
    {
        var what = new Argument<string[]>(Options.ComparedName)
        {
            Description = "Two audio files, two folders of renders, or two graphs, the one before first; or one graph, against its untreated song.",
            Arity = new ArgumentArity(1, 2),
        };
        var expectHelped = new Option<bool>("--expect-helped") { Description = "Exit code 1 unless every verdict is \"helped\"." };
        var allowOutside = Options.AllowOutside();
        var json = Options.Json();
        var command = new Command("compare", "Compare before and after, lined up and at equal loudness, and say whether it helped; writes nothing.") { what, expectHelped, allowOutside, json };
        command.SetAction(parsed => Run(setting, parsed.GetValue(what)!, parsed.GetValue(expectHelped), parsed.GetValue(allowOutside), parsed.GetValue(json)));
        return command;
    }

    private static int Run(CommandSetting setting, string[] paths, bool expectHelped, bool allowOutside, bool asJson)
    {
        var diagnostics = new DiagnosticList();
        var kinds = paths.Select(KindOf).ToList();
        if (kinds.Distinct().Count() > 1)
            return Refuse(setting, $"\"{paths[0]}\" is {Words(kinds[0])} and \"{paths[1]}\" is {Words(kinds[1])}. Name two of a kind.");
        if (paths.Length == 1 && kinds[0] != Kind.Graph)
            return Refuse(setting, $"\"{paths[0]}\" is {Words(kinds[0])}, which must be compared with another. Name two, or one graph.");

        IReadOnlyList<Comparison> comparisons = (kinds[0], paths) switch
        {
            (Kind.Folder, [var before, var after]) => FileComparing.OfFolders(setting, before, after, diagnostics),
            (Kind.Graph, [var before, var after]) => ListOf(GraphComparing.OfGraphs(setting, before, after, allowOutside, diagnostics)),
            (Kind.Graph, [var graph]) => ListOf(GraphComparing.OfGraph(setting, graph, allowOutside, diagnostics)),
            _ => ListOf(FileComparing.OfFiles(setting, paths[0], paths[1], diagnostics)),
        };
        diagnostics.WriteTo(setting.Terminal.Error);
        if (asJson)
            CompareReport.WriteJson(setting.Terminal, comparisons, diagnostics);
        else
            CompareReport.WriteText(setting.Terminal, comparisons);
        if (diagnostics.HasErrors)
            return ExitCode.Of(diagnostics);
        return expectHelped && comparisons.Any(comparison => comparison.Change.Verdict.Kind != VerdictKind.Helped) ? ExitCode.GateFailed : ExitCode.Done;
    }

    private static List<Comparison> ListOf(Comparison? comparison) => comparison is null ? [] : [comparison];

    private static Kind KindOf(string path) =>
        Directory.Exists(path) ? Kind.Folder : Path.GetExtension(path).Equals(".json", StringComparison.OrdinalIgnoreCase) ? Kind.Graph : Kind.File;

    private static string Words(Kind kind) => kind switch { Kind.Folder => "a folder", Kind.Graph => "a graph", _ => "an audio file" };

    private static int Refuse(CommandSetting setting, string sentence)
    {
        setting.Terminal.Error.WriteLine($"rendergraph compare: {sentence}");
        return ExitCode.GraphWrong;
    }

    private enum Kind
    {
        File,
        Folder,
        Graph,
    }
}
