using System.Globalization;
using System.Text;
using System.Text.Json;
using RenderGraph.Cli.Binding;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Locks;

namespace RenderGraph.Cli.Batch;

/// <summary>
/// What a song's result is remembered by, beside its outputs: the content of all that it came from and of all that was written. If nothing of that has changed, neither has the result, and the song need not even be bound. It knows less
/// than the lock, which says what has changed and whether it matters: whenever it does not hold, the lock decides.
/// </summary>
/// <param name="SourceXxh128">Hash of this program's version, the recipe, the song's own file, and the names of the song's files: all that binding hangs on.</param>
/// <param name="Inputs">Content of the stems, by path from the song's folder.</param>
/// <param name="Outputs">Content of outputs and lock, by path from the outputs' folder.</param>
internal sealed record SongMemory(string SourceXxh128, IReadOnlyDictionary<string, string> Inputs, IReadOnlyDictionary<string, string> Outputs, SongResult Result)
{
    private const int Format = 1;

    /// <summary>The hash of all that binding hangs on, as it is now; null if it cannot be looked at.</summary>
    public static string? SourceOf(BatchRecipe recipe, Song song, bool allowOutside)
    {
        try
        {
            var source = new StringBuilder();
            source.Append(CultureInfo.InvariantCulture, $"{Format} {RenderLock.ThisEngine} {recipe.ContentXxh128} {recipe.FileName} {allowOutside}\n");
            foreach (var folder in Directory.GetDirectories(song.Folder).Prepend(song.Folder).Order(StringComparer.Ordinal))
            {
                foreach (var file in Directory.GetFiles(folder).Order(StringComparer.Ordinal))
                    source.Append(Path.GetRelativePath(song.Folder, file)).Append('\n');
            }

            var own = Path.Combine(song.Folder, SongFolder.OwnFileName);
            if (File.Exists(own))
                source.Append(ContentHash.Of(File.ReadAllBytes(own)).Xxh128);
            return ContentHash.Of(Encoding.UTF8.GetBytes(source.ToString())).Xxh128;
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    /// <summary>Remembers a result by its lock; null if the lock is not there.</summary>
    public static SongMemory? Of(string source, SongResult result, string outFolder, string lockPath, CancellationToken cancellation)
    {
        if (ContentHash.OfFile(lockPath, cancellation) is not { } lockContent || LockReader.ReadFile(lockPath, lockPath, new()) is not { } locked)
            return null;
        var outputs = locked.Outputs.ToDictionary(output => output.File, output => output.Content.Xxh128, StringComparer.Ordinal);
        outputs[Path.GetRelativePath(outFolder, lockPath)] = lockContent.Xxh128;
        return new(source, locked.Inputs.ToDictionary(input => input.Key, input => input.Value.Xxh128, StringComparer.Ordinal), outputs, result);
    }

    /// <summary>Whether every file is as it was.</summary>
    public bool Holds(string songFolder, string outFolder, CancellationToken cancellation)
    {
        return AreAsTheyWere(Outputs, outFolder) && AreAsTheyWere(Inputs, songFolder);

        bool AreAsTheyWere(IReadOnlyDictionary<string, string> files, string folder) =>
            files.Keys.All(file => ContentHash.OfFile(Path.Combine(folder, file), cancellation)?.Xxh128 == files[file]);
    }

    /// <summary>Writes it.</summary>
    public void Write(TextWriter writer) => StrictJson.WriteObject(writer, json =>
    {
        json.WriteNumber("format", Format);
        json.WriteString("sourceXxh128", SourceXxh128);
        WriteFiles("inputs", Inputs);
        WriteFiles("outputsAndLock", Outputs);
        json.WriteStartObject("result");
        SongResultJson.WriteMembers(json, Result);
        json.WriteEndObject();

        void WriteFiles(string name, IReadOnlyDictionary<string, string> files)
        {
            json.WriteStartObject(name);
            foreach (var (file, xxh128) in files.OrderBy(file => file.Key, StringComparer.Ordinal))
                json.WriteString(file, xxh128);
            json.WriteEndObject();
        }
    });

    /// <summary>Reads it; null if it is not there, or is not what was written.</summary>
    public static SongMemory? Read(string path)
    {
        try
        {
            using var json = JsonDocument.Parse(File.ReadAllBytes(path));
            var root = json.RootElement;
            return root.GetProperty("format").GetInt32() == Format
                ? new(root.GetProperty("sourceXxh128").GetString()!, Files(root.GetProperty("inputs")), Files(root.GetProperty("outputsAndLock")), SongResultJson.Read(root.GetProperty("result")))
                : null;
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException or JsonException or KeyNotFoundException or InvalidOperationException or FormatException)
        {
            return null; // it is made anew
        }

        static Dictionary<string, string> Files(JsonElement files)
        {
            var contents = new Dictionary<string, string>(StringComparer.Ordinal);
            foreach (var file in files.EnumerateObject())
                contents[file.Name] = file.Value.GetString()!;
            return contents;
        }
    }
}
