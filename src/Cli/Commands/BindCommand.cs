using System.CommandLine;
using RenderGraph.Cli.Binding;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Validation;

namespace RenderGraph.Cli.Commands;

/// <summary><c>bind</c>: from a recipe and a song's folder to the song's graph.</summary>
internal static class BindCommand
{
    public static Command Create(CommandSetting setting)
    {
        var recipe = Options.Recipe();
        var song = Options.SongFolder();
        var outFile = Options.Text("--out", Options.GraphFileName, "The graph to be written. Left out: the recipe's name, in the song's folder.");
        var force = new Option<bool>("--force") { Description = "Write over a graph that is there." };
        var allowOutside = Options.AllowOutside();
        var json = Options.Json();
        var command = new Command("bind", "Write the graph of a song from a recipe: each file goes to the stem whose pattern it fits.") { recipe, song, outFile, force, allowOutside, json };
        command.SetAction(parsed =>
        {
            var (recipePath, folder) = (parsed.GetValue(recipe)!, parsed.GetValue(song)!);
            var target = Path.GetFullPath(parsed.GetValue(outFile) ?? Path.Combine(folder, Path.GetFileName(recipePath)));
            return Run(setting, recipePath, new(folder), new(target, parsed.GetValue(force), parsed.GetValue(allowOutside)), parsed.GetValue(json));
        });
        return command;
    }

    private static int Run(CommandSetting setting, string recipePath, SongFolder song, Target order, bool asJson)
    {
        var diagnostics = new DiagnosticList();
        var target = order.Path;
        var bound = Bind(setting, recipePath, song, order, diagnostics);
        if (bound is not null)
        {
            try
            {
                TextFile.Write(target, writer => writer.Write(bound.Write()));
            }
            catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
            {
                diagnostics.Add(new(DiagnosticCode.OutputUnwritable, Say.Path(target), default, $"the graph could not be written ({failure.Message.TrimEnd('.')})", "Name another place with --out"));
            }
        }

        diagnostics.WriteTo(setting.Terminal.Error);
        if (bound is null || diagnostics.HasErrors)
            return OpenGraph.Refuse(setting.Terminal, diagnostics, asJson);

        if (asJson)
            WriteJson(setting.Terminal, bound, recipePath, target, diagnostics);
        else
            WriteText(setting.Terminal, bound, recipePath, order, isOutside: order.AllowsOutside || Prefix(target, song).Length > 0);
        return ExitCode.Done;
    }

    private static BoundSong? Bind(CommandSetting setting, string recipePath, SongFolder song, Target order, DiagnosticList diagnostics)
    {
        var target = order.Path;
        if (Recipe.Open(recipePath, setting.Catalog, diagnostics) is not { } recipe)
            return null;
        var place = song.PlaceOf(recipe);
        if (place.Sources.FirstOrDefault(source => source.Path == target) is { Name: { } source })
            return Refuse(DiagnosticCode.OutputOverInput, $"the graph would be written over {source}", "Name another file with --out");
        if (Directory.Exists(target))
            return Refuse(DiagnosticCode.OutputUnwritable, "this is a folder, but the graph is a file", "Name a file with --out");
        if (File.Exists(target) && !order.MayOverwrite)
            return Refuse(DiagnosticCode.OutputUnwritable, "this file is there already, and would be overwritten", "Allow it with --force, or name another with --out");

        var prefix = Prefix(target, song);
        if (song.Bind(recipe, diagnostics, prefix) is not { } bound)
            return null;
        var folder = Path.GetDirectoryName(target)!;
        using var loaded = LoadedGraph.Load(
            bound.Document, new(folder, Say.Path(folder), [.. place.Sources, ("the graph itself", target)]), outFolder: null, only: null, setting.Files, setting.Anchor, diagnostics, allowOutside: order.AllowsOutside || prefix.Length > 0);
        return loaded is null ? null : bound;

        BoundSong? Refuse(DiagnosticCode code, string sentence, string remedy)
        {
            diagnostics.Add(new(code, Say.Path(target), default, sentence, remedy));
            return null;
        }
    }

    // From the graph's folder to the song's, as a graph writes it.
    private static string Prefix(string target, SongFolder song)
    {
        var relative = Path.GetRelativePath(Path.GetDirectoryName(target)!, song.FullPath).Replace(Path.DirectorySeparatorChar, '/');
        return relative == "." ? "" : relative.TrimEnd('/') + "/";
    }

    private static void WriteText(Terminal terminal, BoundSong bound, string recipePath, Target order, bool isOutside)
    {
        var (writer, width) = (terminal.Out, terminal.WidthColumns);
        writer.WriteLine($"{bound.Document.Title}, by the recipe {Path.GetFileName(recipePath)}");
        writer.WriteLine();
        var files = new TextTable("stem", "by", "file");
        foreach (var file in bound.Files)
            files.Add(file.Stem, file.Pattern is { } pattern ? $"\"{pattern.Written}\"" : "its name", file.File);
        files.WriteTo(writer, width);
        WriteList("left out", bound.LeftOut.Select(file => $"{file.File}, by \"{file.Pattern.Written}\""));
        WriteList("dropped", bound.Dropped.Select(part => $"{part.Part}: {part.Why}"));
        writer.WriteLine();
        writer.WriteLine($"  written    {Say.Path(order.Path)}");
        writer.WriteLine($"  next       rendergraph render {Say.Path(order.Path)}{(isOutside ? " --allow-outside" : "")}");

        void WriteList(string heading, IEnumerable<string> lines)
        {
            var table = new TextTable(heading);
            foreach (var line in lines)
                table.Add(line);
            if (!table.IsEmpty)
                writer.WriteLine();
            table.WriteTo(writer, width);
        }
    }

    private static void WriteJson(Terminal terminal, BoundSong bound, string recipePath, string target, DiagnosticList diagnostics) =>
        StrictJson.WriteObject(terminal.Out, json =>
        {
            json.WriteBoolean("ok", true);
            json.WriteText("title", bound.Document.Title);
            json.WriteString("recipe", recipePath);
            json.WriteString("graph", target);
            json.WriteBinding(bound);
            json.WriteFindings(diagnostics);
        });

    private sealed record Target(string Path, bool MayOverwrite, bool AllowsOutside);
}
