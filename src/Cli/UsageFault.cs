using System.CommandLine;
using System.CommandLine.Parsing;
using RenderGraph.Cli.Commands;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Cli;

/// <summary>Says in one line what is wrong with a command line, and what was probably meant.</summary>
internal static class UsageFault
{
    /// <summary>The first fault of a command line, or null if it has none.</summary>
    public static string? Of(ParseResult parsed)
    {
        var command = parsed.CommandResult.Command;
        var name = command is RootCommand ? "rendergraph" : $"rendergraph {command.Name}";
        if (parsed.Errors.Count > 0)
            return Describe(parsed, command, name);

        // The parser lets an option's second appearance pass if it has no value of its own.
        var twice = parsed.CommandResult.Children.OfType<OptionResult>().FirstOrDefault(option => option.IdentifierTokenCount > 1);
        return twice is null ? null : Twice(name, twice);
    }

    private static string Describe(ParseResult parsed, Command command, string name)
    {
        var isRoot = command is RootCommand;

        if (parsed.UnmatchedTokens.Count > 0)
        {
            var written = parsed.UnmatchedTokens[0];
            var (kind, known) = written.StartsWith('-')
                ? ("option", Names(command))
                : isRoot ? ("command", command.Subcommands.Select(sub => sub.Name)) : ("further argument", []);
            var near = NearestName.Of(written, known);
            return $"{name}: there is no {kind} \"{written}\". {(near is null ? $"See {name} --help." : $"Did you mean {near}?")}";
        }

        var missing = command.Arguments.FirstOrDefault(argument =>
            argument.Arity.MinimumNumberOfValues > 0 && parsed.GetResult(argument) is not { Tokens.Count: > 0 });
        if (missing is not null)
            return $"{name}: {missing.Name} is missing. Try: {name} {Example(missing.Name)}";

        var fault = parsed.Errors[0];
        return fault.SymbolResult switch
        {
            OptionResult { Tokens.Count: 0 } option => $"{name}: {option.Option.Name} needs a value: {Wanted(option.Option.HelpName)}.",
            OptionResult { Tokens.Count: > 1 } option => Twice(name, option),
            _ => $"{name}: {fault.Message}",
        };
    }

    private static string Example(string argument) => argument switch
    {
        Options.GraphName => "song.json",
        Options.FilesName => "mix.wav",
        Options.SongName or Options.StemsName => "stems",
        _ => argument,
    };

    private static string Twice(string name, OptionResult option) => $"{name}: {option.Option.Name} is given twice. Leave one out.";

    private static IEnumerable<string> Names(Command command) =>
        command.Options.SelectMany(option => option.Aliases.Append(option.Name)).Append("--help").Append("--version").Distinct();

    private static string Wanted(string? helpName) => helpName switch
    {
        Options.FolderName => "a folder",
        Options.FileName => "an audio file",
        Options.StemName => "the name of a stem",
        Options.DecibelsName => "a number of decibels",
        Options.GraphFileName => "the name of the graph to be written",
        Options.TimeName => SongTime.Wanted,
        Options.CountName => "a whole number",
        Options.NodeName => "the name of a stem, a node or a step",
        { } choices => choices.Replace("|", ", ", StringComparison.Ordinal),
        null => "a value",
    };
}
