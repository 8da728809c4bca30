namespace RenderGraph.Cli.Batch;

/// <summary>What came of a batch, or of a shard of one: everything that its views are made of.</summary>
/// <param name="Recipe">File name of the recipe.</param>
/// <param name="Title">What the recipe calls itself.</param>
/// <param name="RecipeXxh128">Hash of its text.</param>
/// <param name="Shard">The part; null for all songs.</param>
/// <param name="ListCount">Songs in the whole batch.</param>
/// <param name="ListXxh128">Hash of all their names.</param>
/// <param name="Songs">By name.</param>
internal sealed record BatchResult(string Recipe, string Title, string RecipeXxh128, Shard? Shard, int ListCount, string ListXxh128, IReadOnlyList<SongResult> Songs)
{
    /// <summary>What the shell is told: done, or that a song failed.</summary>
    public int ExitCode => Songs.All(song => song.State == SongState.Done) ? Cli.ExitCode.Done : Cli.ExitCode.GateFailed;

    /// <summary>How many songs came out so.</summary>
    public int CountOf(SongState state) => Songs.Count(song => song.State == state);
}
