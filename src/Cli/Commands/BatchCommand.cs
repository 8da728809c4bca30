using System.CommandLine;
using System.IO.Hashing;
using System.Text;
using RenderGraph.Cli.Batch;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Validation;

namespace RenderGraph.Cli.Commands;

/// <summary><c>batch</c>: one recipe, many songs.</summary>
internal static class BatchCommand
{
    private const int MostWorkers = 256;

    public static Command Create(CommandSetting setting)
    {
        var recipe = Options.Recipe();
        var songs = new Argument<string[]>(Options.SongsName) { Description = "Folders of stems, or patterns of folders such as \"songs/*\".", Arity = ArgumentArity.OneOrMore };
        var outFolder = Options.Folder("--out", "Folder of the results: each song's outputs in a folder of its name, and what came of all of them.");
        outFolder.Required = true;
        var workers = Options.Count("--workers", 1, MostWorkers, "Songs at once. Left out: by processors and memory. The results do not depend on it.");
        var shard = Options.Text("--shard", "K/N", $"Do only a part of the songs: {Shard.Wanted}.");
        var forClass = Options.ForClass();
        var allowOutside = Options.AllowOutside();
        var json = Options.Json();
        var command = new Command("batch", "Render many songs by one recipe, several at once, and tell what came of all of them.")
        {
            recipe, songs, outFolder, workers, shard, forClass, allowOutside, json, BatchMergeCommand.Create(setting, () => recipe.Hidden = songs.Hidden = true),
        };
        command.SetAction(parsed => Run(
            setting, parsed.GetValue(recipe)!, parsed.GetValue(songs)!, parsed.GetValue(outFolder)!, parsed.GetValue(workers), parsed.GetValue(shard), parsed.GetValue(forClass),
            parsed.GetValue(allowOutside), parsed.GetValue(json)));
        return command;
    }

    private static int Run(
        CommandSetting setting, string recipePath, string[] typed, string outFolder, int? wantedWorkers, string? wantedShard, bool forClass, bool allowOutside, bool asJson)
    {
        var list = SongList.Read(typed, outFolder);
        var (shard, shardFault) = wantedShard is null ? (null, null) : Shard.Read(wantedShard, Environment.GetEnvironmentVariable);
        var faults = shardFault is null ? list.Faults : [.. list.Faults, shardFault];
        foreach (var sentence in faults.Concat(list.Notes))
            setting.Terminal.Error.WriteLine($"rendergraph batch: {sentence}");
        if (faults.Count > 0)
            return ExitCode.GraphWrong;

        var diagnostics = new DiagnosticList();
        if (BatchRecipe.Open(recipePath, setting.Catalog, diagnostics) is not { } recipe)
        {
            diagnostics.WriteTo(setting.Terminal.Error);
            return ExitCode.Of(diagnostics);
        }

        var songs = shard?.Of(list.Songs) ?? list.Songs;
        var counts = WorkerCount.Of(wantedWorkers, songs.Count, Environment.ProcessorCount, GC.GetGCMemoryInfo().TotalAvailableMemoryBytes);
        var run = new SongRun(setting, recipe, outFolder, counts.ThreadsEach, allowOutside);
        IReadOnlyList<SongResult> results;
        try
        {
            results = BatchWatch.Run(setting.Terminal, songs.Count, watch => BatchRun.Run(songs, counts.Workers, run.Run, watch, setting.Cancellation));
        }
        catch (RecipeException faulty)
        {
            faulty.Diagnostics.WriteTo(setting.Terminal.Error);
            return ExitCode.Of(faulty.Diagnostics);
        }
        catch (OperationCanceledException)
        {
            setting.Terminal.Error.WriteLine("rendergraph batch: songs that are done stay done; the same command goes on from there.");
            throw;
        }

        var names = string.Join('\n', list.Songs.Select(song => song.Name));
        return Finish(setting, outFolder, new(recipe.FileName, recipe.Title, recipe.ContentXxh128, shard, list.Songs.Count, Convert.ToHexStringLower(XxHash128.Hash(Encoding.UTF8.GetBytes(names))), results), forClass, asJson);
    }

    /// <summary>Writes and tells the results.</summary>
    /// <returns>The exit code.</returns>
    public static int Finish(CommandSetting setting, string outFolder, BatchResult batch, bool forClass, bool asJson)
    {
        try
        {
            var files = BatchFolder.Write(outFolder, batch, forClass);
            if (asJson)
                BatchJson.Write(setting.Terminal.Out, batch);
            else
                BatchReport.Write(setting.Terminal, batch, files);
            return batch.ExitCode;
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            var diagnostic = new Diagnostic(
                DiagnosticCode.OutputUnwritable, outFolder, default, $"the results cannot be written ({failure.Message.TrimEnd('.')})", "Make room, or allow yourself to write there, and run the batch again: songs that are done stay done");
            setting.Terminal.Error.WriteLine(diagnostic.ToString());
            return ExitCode.OutputUnwritable;
        }
    }
}
