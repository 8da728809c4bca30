namespace RenderGraph.Cli.Batch;

/// <summary>What came of one song: all that the results of a batch tell of it. The same for any number of workers and for songs that were left as they were.</summary>
/// <param name="Name">Of the song.</param>
/// <param name="Title">As the recipe or the song calls it, or null.</param>
/// <param name="Verdict">Whether the treatment helped, in the words of a render; null if that was not told.</param>
/// <param name="Measures">Null if nothing was rendered.</param>
internal sealed record SongResult(
    string Name, SongState State, string? Title, string? Verdict, SongMeasures? Measures, IReadOnlyList<SongOutput> Outputs, IReadOnlyList<SongGate> Gates,
    IReadOnlyList<SongAdvice> Advice, IReadOnlyList<SongFinding> Findings)
{
    /// <summary>Which file was which stem, in the order of the graph.</summary>
    public IReadOnlyList<SongStem> Stems { get; init; } = [];

    /// <summary>What of the recipe the song goes without, and why.</summary>
    public IReadOnlyList<string> Dropped { get; init; } = [];

    /// <summary>Why the song is not simply done, one line each.</summary>
    public IEnumerable<string> Reasons => Findings.Where(finding => finding.IsError).Select(finding => finding.Text);

    /// <summary>A song of which nothing was written.</summary>
    public static SongResult Failed(string name, SongState state, IReadOnlyList<SongFinding> findings) => new(name, state, null, null, null, [], [], [], findings);
}
