using RenderGraph.Cli.Console;

namespace RenderGraph.Cli.Batch;

/// <summary>Writes a batch's results: each file is there whole, or as it was before.</summary>
internal static class BatchFolder
{
    /// <summary>Writes them, and gives their paths.</summary>
    /// <param name="withClass">Whether the view for a class is wanted, with a sheet for each song.</param>
    /// <exception cref="IOException">One could not be written.</exception>
    /// <exception cref="UnauthorizedAccessException">One may not be written.</exception>
    public static IReadOnlyList<string> Write(string folder, BatchResult batch, bool withClass)
    {
        Directory.CreateDirectory(folder);
        var written = new List<string>();
        Put(ResultFiles.JUnit(batch.Shard), writer => JUnitXml.Write(writer, batch));
        if (batch.Shard is null)
        {
            // The others only mean something once all songs are together.
            Put(ResultFiles.Album, writer => AlbumView.Write(writer, batch));
            if (withClass)
            {
                Put(ResultFiles.Class, writer => ClassView.Write(writer, batch));
                foreach (var song in batch.Songs)
                {
                    Directory.CreateDirectory(Path.Combine(folder, song.Name));
                    WriteIfNew(Path.Combine(folder, song.Name, ResultFiles.Sheet), writer => SongSheet.Write(writer, song));
                }
            }
        }

        Put(ResultFiles.Batch(batch.Shard), writer => BatchJson.Write(writer, batch)); // last: where it is, the others are
        return written;

        void Put(string name, Action<TextWriter> content)
        {
            written.Add(Path.Combine(folder, name));
            WriteIfNew(written[^1], content);
        }
    }

    private static void WriteIfNew(string target, Action<TextWriter> content)
    {
        using var text = new StringWriter { NewLine = "\n" };
        content(text);
        if (File.Exists(target) && File.ReadAllText(target) == text.ToString())
            File.Delete(target + ".part"); // of a run that was killed
        else
            TextFile.Write(target, writer => writer.Write(text.ToString()));
    }
}
