namespace RenderGraph.Cli.Console;

/// <summary>Texts that commands leave behind.</summary>
internal static class TextFile
{
    /// <summary>Writes it beside its target and moves it into place: whatever fails, what was there stays, and there is never half a file.</summary>
    /// <exception cref="IOException">It could not be written.</exception>
    /// <exception cref="UnauthorizedAccessException">It must not be written.</exception>
    public static void Write(string target, Action<TextWriter> content)
    {
        var part = target + ".part";
        using var file = new FileStream(part, FileMode.Create, FileAccess.Write, FileShare.None); // another's unfinished file is not ours to take away
        try
        {
            using (var writer = new StreamWriter(file, leaveOpen: true))
                content(writer);
            file.Flush(flushToDisk: true);
            file.Close();
            File.Move(part, target, overwrite: true);
        }
        catch
        {
            File.Delete(part);
            throw;
        }
    }
}
