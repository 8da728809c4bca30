using RenderGraph.Cli.Console;
using static System.FormattableString;

namespace RenderGraph.Cli.Batch;

/// <summary>What a batch tells at its end: a row for each song, why some are not done, and who stands apart.</summary>
internal static class BatchReport
{
    public static void Write(Terminal terminal, BatchResult batch, IReadOnlyList<string> files)
    {
        var (writer, width) = (terminal.Out, terminal.WidthColumns);
        var part = batch.Shard is { } shard ? Invariant($", part {shard.Index} of {shard.Count} of {batch.ListCount}") : "";
        writer.WriteLine($"{batch.Title}: {AlbumView.Count(batch.Songs.Count)}{part}");
        writer.WriteLine();
        var table = new TextTable(">length", ">anchor", ">clearance", "came out", "the treatment", "song");
        foreach (var song in batch.Songs)
        {
            table.Add(
                song.Measures is { } measures ? SongTime.Write(measures.LengthSeconds) : "-",
                song.Measures?.Anchor?.FrequencyHz is { } hertz ? Invariant($"{hertz:0.0} Hz") : "-",
                song.Measures?.ClearanceDb is { } clearance ? $"{Say.Decimal(clearance)} dB" : "-", song.State.Word(), song.Verdict ?? "-", Plain.Of(song.Name));
        }

        table.WriteTo(writer, width);
        Section("not done", batch.Songs.Where(song => song.State != SongState.Done).SelectMany(song => song.Reasons.DefaultIfEmpty(song.State.Word()).Select(reason => $"{Plain.Of(song.Name)}: {reason}")));
        if (batch.Shard is null)
            Section("standing apart from the set", Outliers.Of(batch.Songs).Select(outlier => $"{Plain.Of(outlier.Song)}: {outlier.Sentence}."));
        writer.WriteLine();
        writer.WriteLine($"  {string.Join(", ", Enum.GetValues<SongState>().Where(state => batch.CountOf(state) > 0).Select(state => $"{Say.Whole(batch.CountOf(state))} {state.Word()}"))}");
        writer.WriteLine($"  wrote {string.Join(", ", files.Select(file => Say.Path(Path.GetFullPath(file))))}");

        void Section(string heading, IEnumerable<string> sentences)
        {
            var all = sentences.ToList();
            if (all.Count == 0)
                return;
            writer.WriteLine();
            writer.WriteLine($"  {heading}");
            foreach (var sentence in all)
                writer.WriteMarked("- ", sentence, width, indent: 2);
        }
    }
}
