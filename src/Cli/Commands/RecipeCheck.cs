using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Cli.Commands;

/// <summary>What <c>check</c> says of a recipe: everything that does not need a song's files.</summary>
internal static class RecipeCheck
{
    public static int Run(CommandSetting setting, string path, bool asJson)
    {
        var diagnostics = new DiagnosticList();
        var document = Recipe.Open(path, setting.Catalog, diagnostics)?.Check(diagnostics);
        diagnostics.WriteTo(setting.Terminal.Error);
        if (document is null || diagnostics.HasErrors)
            return OpenGraph.Refuse(setting.Terminal, diagnostics, asJson);

        if (asJson)
            WriteJson(setting.Terminal, document, diagnostics);
        else
            WriteText(setting.Terminal, document);
        return ExitCode.Done;
    }

    private static void WriteText(Terminal terminal, GraphDocument document)
    {
        terminal.Out.WriteLine($"{document.Title ?? Path.GetFileName(document.File)}: the recipe is in order. Its stems take, in this order:");
        terminal.Out.WriteLine();
        var stems = new TextTable("stem", "takes", "files that are like");
        foreach (var stem in document.Stems)
            stems.Add(stem.Id, Takes(stem.Match!), string.Join(", ", Wanted(stem.Match!)));
        stems.WriteTo(terminal.Out, terminal.WidthColumns);
        if (document.LeaveOut.Count > 0)
        {
            terminal.Out.WriteLine();
            terminal.Out.WriteWrapped($"left out: {string.Join(", ", document.LeaveOut.Select(pattern => $"\"{pattern.Written}\""))}", terminal.WidthColumns, indent: 2);
        }

        terminal.Out.WriteLine();
        terminal.Out.WriteLine($"  next  rendergraph bind {document.File} SONG");
    }

    private static string Takes(StemMatch match) => match switch
    {
        { IsMany: false, IsOptional: false } => "one",
        { IsMany: false, IsOptional: true } => "one or none",
        { IsMany: true, IsOptional: false } => "one or more",
        _ => "any number",
    };

    private static IEnumerable<string> Wanted(StemMatch match) =>
        match.Patterns.Count > 0 ? match.Patterns.Select(pattern => $"\"{pattern.Written}\"") : match.Files.Select(file => file.Value);

    private static void WriteJson(Terminal terminal, GraphDocument document, DiagnosticList diagnostics) =>
        StrictJson.WriteObject(terminal.Out, json =>
        {
            json.WriteBoolean("ok", true);
            json.WriteText("title", document.Title);
            json.WriteBoolean("recipe", true);
            json.WriteObjects("stems", document.Stems, stem =>
            {
                json.WriteString("name", stem.Id);
                json.WriteStartArray("match");
                foreach (var pattern in stem.Match!.Patterns)
                    json.WriteStringValue(pattern.Written);
                json.WriteEndArray();
                json.WriteBoolean("many", stem.Match.IsMany);
                json.WriteBoolean("optional", stem.Match.IsOptional);
            });
            json.WriteFindings(diagnostics);
        });
}
