using System.CommandLine;
using System.CommandLine.Help;
using System.CommandLine.Invocation;
using RenderGraph.Cli.Batch;

namespace RenderGraph.Cli.Commands;

/// <summary><c>batch merge</c>: the parts of a batch, done on several machines, as one.</summary>
internal static class BatchMergeCommand
{
    public static Command Create(CommandSetting setting, Action hideTheParentsArguments)
    {
        var parts = new Argument<string[]>(Options.PartsName) { Description = "Folders that parts were written into, or their batch.K-of-N.json.", Arity = ArgumentArity.OneOrMore };
        var outFolder = Options.Folder("--out", "Folder of the results of the whole.");
        outFolder.Required = true;
        var forClass = Options.ForClass();
        var json = Options.Json();
        var command = new Command("merge", "Join the parts of a batch: the results are those of the whole batch, byte for byte.") { parts, outFolder, forClass, json };
        // The page would show what "batch" itself takes between the two words.
        var help = new HelpOption();
        var page = (HelpAction)help.Action!;
        page.MaxWidth = setting.Terminal.WidthColumns;
        help.Action = new OwnHelp(page, hideTheParentsArguments);
        command.Add(help);
        command.SetAction(parsed => Run(setting, parsed.GetValue(parts)!, parsed.GetValue(outFolder)!, parsed.GetValue(forClass), parsed.GetValue(json)));
        return command;
    }

    private static int Run(CommandSetting setting, string[] typed, string outFolder, bool forClass, bool asJson)
    {
        var faults = new List<string>();
        var batches = new List<(string File, BatchResult Batch)>();
        foreach (var file in typed.SelectMany(path => FilesOf(path, faults)).DistinctBy(Path.GetFullPath))
        {
            var (batch, fault) = BatchJson.Read(file);
            if (fault is not null)
                faults.Add(fault);
            else
                batches.Add((file, batch!));
        }

        var unread = faults.Count > 0;
        if (!unread)
            faults.AddRange(BatchMerge.FaultsOf(batches));
        foreach (var fault in faults)
            setting.Terminal.Error.WriteLine($"rendergraph batch merge: {fault}");
        return faults.Count > 0
            ? unread ? ExitCode.InputUnreadable : ExitCode.GraphWrong
            : BatchCommand.Finish(setting, outFolder, BatchMerge.Of([.. batches.Select(part => part.Batch)]), forClass, asJson);
    }

    private static IReadOnlyList<string> FilesOf(string path, List<string> faults)
    {
        if (!Directory.Exists(path))
            return [path];
        try
        {
            var parts = ResultFiles.FindBatches(path);
            if (parts.Count == 0)
                faults.Add($"{path} holds no results of a batch. Name a folder that a part was written into.");

            // In a folder that parts share, an earlier whole is made anew.
            return parts.Count > 1 ? [.. parts.Where(part => Path.GetFileName(part) != ResultFiles.Batch(null))] : parts;
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            faults.Add($"{path} cannot be read ({failure.Message.TrimEnd('.')}). Allow yourself to read it.");
            return [];
        }
    }

    private sealed class OwnHelp(HelpAction page, Action hide) : SynchronousCommandLineAction
    {
        public override bool ClearsParseErrors => true;

        public override int Invoke(ParseResult parseResult)
        {
            hide();
            return page.Invoke(parseResult);
        }
    }
}
