using System.CommandLine;
using System.CommandLine.Parsing;
using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Cli;

/// <summary>Says in one line what is wrong with a command line, and what was probably meant.</summary>
internal static class UsageFault
{
    /// <summary>The first fault of a parse that has any.</summary>
    public static string Describe(ParseResult parsed)
    {
        var command = parsed.CommandResult.Command;
        var isRoot = command is RootCommand;
        var name = isRoot ? "rendergraph" : $"rendergraph {command.Name}";

        if (parsed.UnmatchedTokens.Count > 0)
        {
            var written = parsed.UnmatchedTokens[0];
            var (kind, known) = written.StartsWith('-')
                ? ("option", Options(command))
                : isRoot ? ("command", command.Subcommands.Select(sub => sub.Name)) : ("further argument", []);
            var near = NearestName.Of(written, known);
            return $"{name}: there is no {kind} \"{written}\". {(near is null ? $"See {name} --help." : $"Did you mean {near}?")}";
        }

        var missing = command.Arguments.FirstOrDefault(argument =>
            argument.Arity.MinimumNumberOfValues > 0 && parsed.GetResult(argument) is not { Tokens.Count: > 0 });
        if (missing is not null)
            return $"{name}: {missing.Name} is missing: {Lower(missing.Description)}. Try: {name} {Example(missing)}";

        var fault = parsed.Errors[0];
        return fault.SymbolResult switch
        {
            OptionResult { Tokens.Count: 0 } option => $"{name}: {option.Option.Name} needs a value: {Lower(option.Option.Description)}.",
            OptionResult { Tokens.Count: > 1 } option => $"{name}: {option.Option.Name} is given twice. Leave one out.",
            _ => $"{name}: {fault.Message}",
        };
    }

    private static IEnumerable<string> Options(Command command) =>
        command.Options.SelectMany(option => option.Aliases.Append(option.Name)).Append("--help").Append("--version").Distinct();

    private static string Lower(string? sentence) =>
        string.IsNullOrEmpty(sentence) ? "" : (char.ToLowerInvariant(sentence[0]) + sentence[1..]).TrimEnd('.');

    private static string Example(Argument argument) => argument.Name == "GRAPH" ? "song.json" : argument.Name;
}
