using RenderGraph.Cli.Console;

namespace RenderGraph.Cli.Batch;

/// <summary>What the songs of a class have in common, most frequent first. It names no better or worse song: there is no grade.</summary>
internal static class ClassView
{
    /// <summary>Writes a page of Markdown.</summary>
    public static void Write(TextWriter writer, BatchResult batch)
    {
        var written = batch.Songs.Where(song => song.State.IsWritten()).ToList();
        writer.WriteLine($"# {Plain.Markdown(batch.Title)}: what {AlbumView.Count(batch.Songs.Count)} have in common");
        writer.WriteLine();
        writer.WriteLine($"{AlbumView.Count(written.Count)} of {Say.Whole(batch.Songs.Count)} rendered. Every song has a sheet of its own, `{ResultFiles.Sheet}` in its folder.");
        var kinds = written.SelectMany(song => song.Advice.Select(advice => (advice.Kind, song.Name))).Distinct().GroupBy(found => found.Kind)
            .OrderByDescending(found => found.Count()).ThenBy(found => AdviceKinds.Order(found.Key)).ThenBy(found => found.Key, StringComparer.Ordinal).ToList();
        if (kinds.Count > 0)
        {
            writer.WriteLine();
            writer.WriteLine("| songs | what | try |");
            writer.WriteLine("| --- | --- | --- |");
            foreach (var kind in kinds)
                writer.WriteLine($"| {Say.Whole(kind.Count())} of {Say.Whole(written.Count)} | {AdviceKinds.Title(kind.Key)} | {AdviceKinds.Try(kind.Key)} |");
            foreach (var kind in kinds)
            {
                writer.WriteLine();
                writer.WriteLine($"**{AdviceKinds.Title(kind.Key)}**: {Names(kind.Select(found => found.Name))}.");
            }
        }

        var clean = written.Where(song => song.Advice.Count == 0).Select(song => song.Name).ToList();
        if (clean.Count > 0)
        {
            writer.WriteLine();
            writer.WriteLine($"**Nothing to say**: {Names(clean)}. A low end that needs no work is a good answer.");
        }

        var missing = batch.Songs.Where(song => !song.State.IsWritten()).ToList();
        if (missing.Count > 0)
        {
            writer.WriteLine();
            writer.WriteLine("## Not rendered");
            writer.WriteLine();
            foreach (var song in missing)
                writer.WriteLine($"- {Plain.Markdown(song.Name)} ({song.State.Word()}): {Plain.Markdown(song.Reasons.FirstOrDefault() ?? "")}");
        }

        Cautions.WriteMarkdown(writer);
    }

    private static string Names(IEnumerable<string> names) => string.Join(", ", names.Select(Plain.Markdown));
}
