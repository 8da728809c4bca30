namespace RenderGraph.Cli.Batch;

/// <summary>Which file of a song was which stem.</summary>
/// <param name="File">From the song's folder.</param>
/// <param name="By">What took it, <c>by "*kick*"</c>; null if the graph names it.</param>
internal sealed record SongStem(string Name, string File, string? By);
