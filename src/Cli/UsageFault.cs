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
        var name = NameOf(command);
        if (Unknown(parsed) is { } written)
            return NoOption(command, name, written);
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
            if (written.StartsWith('-'))
                return NoOption(command, name, written);
            var (kind, known) = isRoot ? ("command", command.Subcommands.Select(sub => sub.Name)) : ("further argument", []);
            var near = NearestName.Of(written, known);
            return $"{name}: there is no {kind} \"{written}\". {(near is null ? $"See {name} --help." : $"Did you mean {near}?")}";
        }

        var missing = command.Arguments.FirstOrDefault(argument =>
            argument.Arity.MinimumNumberOfValues > 0 && parsed.GetResult(argument) is not { Tokens.Count: > 0 });
        if (missing is not null)
            return $"{name}: {missing.Name} is missing. Try: {name} {Example(command, missing.Name)}";

        var fault = parsed.Errors[0];
        return fault.SymbolResult switch
        {
            OptionResult { Tokens.Count: 0 } option => $"{name}: {option.Option.Name} needs a value: {Wanted(option.Option.HelpName)}.",
            OptionResult { Tokens.Count: > 1 } option => Twice(name, option),
            _ => $"{name}: {fault.Message}",
        };
    }

    private static string NameOf(Command command) =>
        command.Parents.OfType<Command>().FirstOrDefault() is { } parent ? $"{NameOf(parent)} {command.Name}" : "rendergraph";

    /// <summary>An argument that takes many values takes a misspelled option too. Behind <c>--</c> a name may begin as it likes.</summary>
    private static string? Unknown(ParseResult parsed)
    {
        var arguments = parsed.CommandResult.Children.OfType<ArgumentResult>().SelectMany(argument => argument.Tokens).ToList();
        return parsed.Tokens.TakeWhile(token => token.Type != TokenType.DoubleDash)
            .FirstOrDefault(token => token.Value.Length > 1 && token.Value[0] == '-' && arguments.Exists(argument => ReferenceEquals(argument, token)))?.Value;
    }

    private static string NoOption(Command command, string name, string written) =>
        $"{name}: there is no option \"{written}\". {(NearestName.Of(written, Names(command)) is { } near ? $"Did you mean {near}?" : $"See {name} --help{(command.Arguments.Count > 0 ? $"; a name that begins so is written ./{written}" : "")}.")}";

    private static string Example(Command command, string argument) => argument switch
    {
        Options.GraphName => "song.json",
        Options.SongFolderName => "recipe.json songs/first",
        Options.RecipeName when command.Name == "bind" => "recipe.json songs/first",
        Options.FilesName => "mix.wav",
        Options.ComparedName => "before.wav after.wav",
        Options.RecipeName => "recipe.json songs/* --out results",
        Options.SongsName => "recipe.json songs/* --out results",
        Options.PartsName => "results --out results",
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
