using System.Globalization;

namespace RenderGraph.Cli.Batch;

/// <summary>Names of what a batch writes beside the songs' folders.</summary>
internal static class ResultFiles
{
    public const string Album = "album.txt", Class = "class.md", Sheet = "sheet.md", Song = "result.json", Lock = "song.lock.json";

    /// <summary><c>batch.json</c>, or of a shard <c>batch.2-of-5.json</c>: shards may share a folder.</summary>
    public static string Batch(Shard? shard) => $"batch{Part(shard)}.json";

    /// <summary><c>junit.xml</c>, or <c>junit.2-of-5.xml</c>.</summary>
    public static string JUnit(Shard? shard) => $"junit{Part(shard)}.xml";

    /// <summary>Every result of a batch in a folder: the whole, or shards.</summary>
    public static IReadOnlyList<string> FindBatches(string folder) =>
        [.. Directory.GetFiles(folder, "batch*.json").Where(path => IsBatch(Path.GetFileName(path))).Order(StringComparer.Ordinal)];

    /// <summary>Whether a song of this name would stand in the way of a result.</summary>
    public static bool IsReserved(string name) =>
        IsBatch(name.ToLowerInvariant()) || name.StartsWith("junit.", StringComparison.OrdinalIgnoreCase)
        || name.Equals(Album, StringComparison.OrdinalIgnoreCase) || name.Equals(Class, StringComparison.OrdinalIgnoreCase);

    private static bool IsBatch(string name)
    {
        if (name == "batch.json")
            return true;
        var parts = name.Split('.');
        return parts is ["batch", var part, "json"] && part.Split("-of-") is [var index, var count] && index.All(char.IsAsciiDigit) && count.All(char.IsAsciiDigit);
    }

    private static string Part(Shard? shard) => shard is { } part ? string.Create(CultureInfo.InvariantCulture, $".{part.Index}-of-{part.Count}") : "";
}
