using RenderGraph.Cli.Console;
using RenderGraph.Nodes.Measures.Pitch;
using static System.FormattableString;

namespace RenderGraph.Cli.Batch;

/// <summary>The songs of a set side by side: anchor, clearance, and how the low end is balanced against the whole.</summary>
internal static class AlbumView
{
    private const int WidthColumns = 120;

    /// <summary>Writes the table, its medians, and who stands apart.</summary>
    public static void Write(TextWriter writer, BatchResult batch)
    {
        writer.WriteLine($"{batch.Title}: the low end of {Count(batch.Songs.Count)} side by side");
        writer.WriteLine();
        var measured = batch.Songs.Where(song => song.Measures is not null).ToList();
        var outliers = Outliers.Of(batch.Songs);
        var apart = outliers.Select(outlier => outlier.Song).ToHashSet(StringComparer.Ordinal);
        var table = new TextTable([">anchor", "note", ">clearance", .. SongMeasures.Ranges.Select(range => $">{range.Name}"), "", "song"]);
        foreach (var song in measured)
        {
            var measures = song.Measures!;
            table.Add(
            [
                measures.Anchor?.FrequencyHz is { } hertz ? Invariant($"{hertz:0.0} Hz") : "-", measures.Anchor?.FrequencyHz is { } note ? Note.NearestTo(note).Name : "-", Decibels(measures.ClearanceDb),
                .. measures.BalanceDb.Select(Decibels), apart.Contains(song.Name) ? "*" : "", Plain.Of(song.Name),
            ]);
        }

        if (measured.Count > 1)
        {
            table.Add(
            [
                MedianOf(measures => measures.Anchor?.FrequencyHz) is { } hertz ? Invariant($"{hertz:0.0} Hz") : "-", "", Decibels(MedianOf(measures => measures.ClearanceDb)),
                .. SongMeasures.Ranges.Select((_, range) => Decibels(MedianOf(measures => measures.BalanceDb[range]))), "", "the median",
            ]);
        }

        table.WriteTo(writer, WidthColumns);
        if (table.IsEmpty)
            writer.WriteLine("  No song was rendered.");
        if (outliers.Count > 0)
        {
            writer.WriteLine();
            writer.WriteLine("  standing apart (*)");
            foreach (var outlier in outliers)
                writer.WriteMarked("- ", $"{Plain.Of(outlier.Song)}: {outlier.Sentence}.", WidthColumns, indent: 2);
        }

        var missing = batch.Songs.Where(song => song.Measures is null).ToList();
        if (missing.Count > 0)
        {
            writer.WriteLine();
            writer.WriteLine("  not here");
            foreach (var song in missing)
                writer.WriteMarked("- ", $"{Plain.Of(song.Name)}: {song.State.Word()}.", WidthColumns, indent: 2);
        }

        writer.WriteLine();
        foreach (var rule in (string[])
        [
            "anchor and clearance: of the stems as they came, before the recipe. The clearance is by how many dB the anchor stands above everything else in its own band, at half of its hits.",
            $"balance: mean level of each range against that of the whole file, in dB, of what was rendered: {string.Join(", ", measured.Select(song => song.Measures!.BalanceOf).Distinct().Order(StringComparer.Ordinal))}.",
            Outliers.Rule,
        ])
        {
            writer.WriteMarked("- ", rule, WidthColumns, indent: 2);
        }

        double? MedianOf(Func<SongMeasures, double?> valueOf) =>
            measured.Select(song => valueOf(song.Measures!)).OfType<double>().ToList() is { Count: > 0 } values ? Outliers.Median(values) : null;
    }

    /// <summary><c>1 song</c>, <c>12 songs</c>.</summary>
    public static string Count(int songs) => songs == 1 ? "1 song" : $"{Say.Whole(songs)} songs";

    private static string Decibels(double? db) => db is { } value ? Say.Decimal(value) : "-";
}
