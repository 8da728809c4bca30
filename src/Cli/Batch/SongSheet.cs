using RenderGraph.Cli.Console;
using RenderGraph.Nodes.Measures.Pitch;
using static System.FormattableString;

namespace RenderGraph.Cli.Batch;

/// <summary>One song for the person who made it: what, where, why, and what to try. No grade.</summary>
internal static class SongSheet
{
    /// <summary>Writes a page of Markdown.</summary>
    public static void Write(TextWriter writer, SongResult song)
    {
        writer.WriteLine($"# {Plain.Markdown(song.Title ?? song.Name)}");
        writer.WriteLine();
        if (!song.State.IsWritten())
        {
            writer.WriteLine($"It could not be rendered ({song.State.Word()}):");
            writer.WriteLine();
            foreach (var reason in song.Reasons)
                writer.WriteLine($"- {Plain.Markdown(reason)}");
            return;
        }

        foreach (var sentence in Facts(song))
            writer.WriteLine($"- {sentence}");
        if (song.Advice.Count == 0)
        {
            writer.WriteLine();
            writer.WriteLine("There is nothing to say against these stems: the low end is clean. That is a good answer.");
        }

        var number = 0;
        foreach (var advice in song.Advice)
        {
            number++;
            writer.WriteLine();
            writer.WriteLine($"## {Say.Whole(number)}. {Plain.Markdown(advice.What.TrimEnd('.'))}");
            writer.WriteLine();
            WriteLine("Where", advice.Where);
            WriteLine("Why", advice.Why);
            WriteLine("Try", advice.Try);
        }

        WriteStems(writer, song);
        Cautions.WriteMarkdown(writer);

        void WriteLine(string word, string? text)
        {
            if (text is not null)
                writer.WriteLine($"- **{word}**: {Plain.Markdown(text)}");
        }
    }

    private static void WriteStems(TextWriter writer, SongResult song)
    {
        if (song.Stems.Count == 0)
            return;
        writer.WriteLine();
        writer.WriteLine("## Which file was which stem");
        writer.WriteLine();
        foreach (var stem in song.Stems)
            writer.WriteLine($"- {Plain.Markdown(stem.Name)}: {Plain.Markdown(stem.File)}{(stem.By is null ? "" : $", {Plain.Markdown(stem.By)}")}");
        if (song.Dropped.Count == 0)
            return;
        writer.WriteLine();
        writer.WriteLine("Of the recipe this song goes without:");
        writer.WriteLine();
        foreach (var part in song.Dropped)
            writer.WriteLine($"- {Plain.Markdown(part)}");
    }

    private static IEnumerable<string> Facts(SongResult song)
    {
        yield return $"Rendered: {string.Join(", ", song.Outputs.Select(output => Plain.Markdown(output.File)))}, {SongTime.Write(song.Measures?.LengthSeconds ?? 0)} long.";
        if (song.Measures?.Anchor is { } anchor)
        {
            var place = anchor.FrequencyHz is { } hertz ? Invariant($" at {hertz:0.0} Hz ({Note.NearestTo(hertz).Name})") : "";
            yield return $"{Plain.Markdown(anchor.Stem)} owns the low end{place}; it hits {(anchor.Hits == 1 ? "once" : $"{Say.Whole(anchor.Hits)} times")}.";
        }

        if (song.Measures?.ClearanceDb is { } clearance)
            yield return $"In the stems as they came it stands {Say.Decimal(Math.Abs(clearance))} dB {(clearance < 0 ? "below" : "above")} everything else in its own band, at half of its hits.";
        if (song.Verdict is { } verdict)
            yield return $"The treatment: {verdict}.";
    }
}
