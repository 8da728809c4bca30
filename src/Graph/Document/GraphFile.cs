using RenderGraph.Graph.Diagnostics;

namespace RenderGraph.Graph.Document;

/// <summary>Reads the graph's bytes.</summary>
public static class GraphFile
{
    /// <summary>The whole file, or null after noting why it cannot be had. Of a file over the limit only so much is read as shows it.</summary>
    /// <param name="kind">What messages call it: graph, recipe.</param>
    public static ReadOnlyMemory<byte>? Read(string path, DiagnosticList diagnostics, string kind = "graph")
    {
        if (string.IsNullOrWhiteSpace(path) || path.Contains('\0', StringComparison.Ordinal))
            return Refuse($"the {kind}'s path is empty", $"Name the {kind}'s file");
        if (Directory.Exists(path))
            return Refuse($"this is a folder, but a {kind} is a file", $"Name the {kind}'s file in it");
        try
        {
            using var file = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
            using var bytes = new MemoryStream();
            var part = new byte[64 << 10];
            while (file.Read(part) is var count and > 0)
            {
                bytes.Write(part, 0, count);
                if (bytes.Length > JsonTreeReader.LengthLimitBytes)
                {
                    diagnostics.Add(JsonTreeReader.TooLong(path));
                    return null;
                }
            }

            return bytes.ToArray();
        }
        catch (Exception fault) when (fault is FileNotFoundException or DirectoryNotFoundException)
        {
            return Refuse($"the {kind}'s file is not there", Nearest(path) is { } near ? $"Did you mean {near}?" : "Check the path; it counts from the folder that the command runs in");
        }
        catch (UnauthorizedAccessException)
        {
            return Refuse($"the {kind}'s file may not be read", "Ask for the right to read it, or copy it to where you may");
        }
        catch (IOException)
        {
            return Refuse($"the {kind}'s file could not be read", "Check the disk or the connection, and try again");
        }

        ReadOnlyMemory<byte>? Refuse(string sentence, string remedy)
        {
            diagnostics.Add(new(DiagnosticCode.GraphUnreadable, path, default, sentence, remedy));
            return null;
        }
    }

    private static string? Nearest(string path)
    {
        var folder = Path.GetDirectoryName(path);
        try
        {
            var names = Directory.EnumerateFiles(string.IsNullOrEmpty(folder) ? "." : folder).Select(file => Path.GetFileName(file));
            return NearestName.Of(Path.GetFileName(path), names.Where(name => !name.StartsWith('.'))) is { } near ? Path.Combine(folder ?? "", near) : null;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or ArgumentException)
        {
            return null;
        }
    }
}
