using RenderGraph.Cli.Console;

namespace RenderGraph.Cli.Batch;

/// <summary>Joins the parts of one batch. They must be parts of the same: one recipe, one list of songs, each part once and none missing.</summary>
internal static class BatchMerge
{
    /// <summary>Why these cannot be joined, in sentences.</summary>
    public static IEnumerable<string> FaultsOf(IReadOnlyList<(string File, BatchResult Batch)> parts)
    {
        var (firstFile, first) = parts[0];
        if (parts.Count == 1 && first.Shard is null)
            yield break;
        foreach (var (file, batch) in parts)
        {
            if (batch.Shard is null)
                yield return $"{file} is the result of a whole batch, not of a part. Leave it out.";
            else if (batch.RecipeXxh128 != first.RecipeXxh128)
                yield return $"{file} was made by another recipe than {firstFile}. Run both parts with the same.";
            else if (batch.Shard.Value.Count != first.Shard?.Count)
                yield return $"{file} is part {batch.Shard}, but {firstFile} is part {first.Shard}. Run all parts with the same number.";
            else if (batch.ListXxh128 != first.ListXxh128)
                yield return $"{file} was made from another list of songs ({Say.Whole(batch.ListCount)}) than {firstFile} ({Say.Whole(first.ListCount)}). Give every part the same songs.";
        }

        foreach (var twice in parts.Where(part => part.Batch.Shard is not null).GroupBy(part => part.Batch.Shard!.Value).Where(alike => alike.Count() > 1))
            yield return $"{string.Join(" and ", twice.Select(part => part.File))} are both part {twice.Key}. Leave one out.";
        if (first.Shard is not { } shard)
            yield break;
        var missing = Enumerable.Range(1, shard.Count).Select(index => new Shard(index, shard.Count)).Except(parts.Select(part => part.Batch.Shard).OfType<Shard>()).ToList();
        if (missing.Count > 0)
            yield return $"{(missing.Count == 1 ? "part" : "parts")} {string.Join(", ", missing)} {(missing.Count == 1 ? "is" : "are")} missing. Run what is missing, and name its folder too.";
    }

    /// <summary>The whole.</summary>
    public static BatchResult Of(IReadOnlyList<BatchResult> parts) => parts[0] with { Shard = null, Songs = [.. parts.SelectMany(part => part.Songs).OrderBy(song => song.Name, StringComparer.Ordinal)] };
}
