using System.Text.Json;
using RenderGraph.Cli.Console;

namespace RenderGraph.Cli.Batch;

/// <summary><c>batch.json</c>, both ways.</summary>
internal static class BatchJson
{
    private const int Format = 1;

    /// <summary>Writes one object.</summary>
    public static void Write(TextWriter writer, BatchResult batch) => StrictJson.WriteObject(writer, json =>
    {
        json.WriteBoolean("ok", batch.ExitCode == ExitCode.Done);
        json.WriteNumber("format", Format);
        json.WriteString("recipe", batch.Recipe);
        json.WriteString("title", batch.Title);
        json.WriteString("recipeXxh128", batch.RecipeXxh128);
        if (batch.Shard is { } shard)
        {
            json.WriteStartObject("shard");
            json.WriteNumber("index", shard.Index);
            json.WriteNumber("count", shard.Count);
            json.WriteEndObject();
        }
        else
        {
            json.WriteNull("shard");
        }

        json.WriteNumber("listCount", batch.ListCount);
        json.WriteString("listXxh128", batch.ListXxh128);
        json.WriteStartObject("counts");
        json.WriteNumber("songs", batch.Songs.Count);
        foreach (var state in Enum.GetValues<SongState>())
            json.WriteNumber(state.Text(), batch.CountOf(state));
        json.WriteEndObject();
        json.WriteObjects("outliers", batch.Shard is null ? Outliers.Of(batch.Songs) : [], outlier =>
        {
            json.WriteString("song", outlier.Song);
            json.WriteString("measure", outlier.Measure);
            json.WriteNumber("value", outlier.Value);
            json.WriteNumber("median", outlier.Median);
            json.WriteString("sentence", outlier.Sentence);
        });
        json.WriteObjects("songs", batch.Songs, song => SongResultJson.WriteMembers(json, song));
    });

    /// <summary>Reads one.</summary>
    /// <returns>The result, or a sentence of what is wrong.</returns>
    public static (BatchResult? Batch, string? Fault) Read(string path)
    {
        try
        {
            using var json = JsonDocument.Parse(File.ReadAllBytes(path));
            var root = json.RootElement;
            if (root.GetProperty("format").GetInt32() is var format && format != Format)
                return (null, $"{path} has format {Say.Whole(format)}, and this version reads {Say.Whole(Format)}. Use the version that wrote it.");
            var shard = root.GetProperty("shard");
            return (new(
                root.GetProperty("recipe").GetString()!, root.GetProperty("title").GetString()!, root.GetProperty("recipeXxh128").GetString()!,
                shard.ValueKind == JsonValueKind.Null ? null : new Shard(shard.GetProperty("index").GetInt32(), shard.GetProperty("count").GetInt32()),
                root.GetProperty("listCount").GetInt32(), root.GetProperty("listXxh128").GetString()!,
                [.. root.GetProperty("songs").EnumerateArray().Select(SongResultJson.Read)]), null);
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            return (null, $"{path} cannot be read ({failure.Message.TrimEnd('.')}). Name a folder that a batch wrote into, or its batch.json.");
        }
        catch (Exception failure) when (failure is JsonException or KeyNotFoundException or InvalidOperationException or FormatException or ArgumentException)
        {
            return (null, $"{path} is not the result of a batch. Name a folder that a batch wrote into, or its batch.json.");
        }
    }
}
