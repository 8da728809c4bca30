namespace RenderGraph.Cli.Batch;

/// <summary>A file that a song was rendered to.</summary>
/// <param name="File">In the song's folder of outputs.</param>
/// <param name="ContentXxh128">Hash of its bytes.</param>
internal sealed record SongOutput(string Name, string File, string ContentXxh128);
