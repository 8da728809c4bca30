namespace RenderGraph.Cli.Batch;

/// <summary>Something told about a song, as a line of its own would tell it.</summary>
/// <param name="IsError">Whether it decides how the song came out.</param>
/// <param name="Code"><c>RG301</c>.</param>
/// <param name="Text">Place, code, sentence and remedy; files of the song are named from its folder.</param>
internal sealed record SongFinding(bool IsError, string Code, string Text);
