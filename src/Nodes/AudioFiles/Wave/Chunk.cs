namespace RenderGraph.Nodes.AudioFiles.Wave;

/// <summary>One chunk of a file.</summary>
/// <param name="Name">Four letters.</param>
/// <param name="Offset">Where its content begins.</param>
/// <param name="Bytes">Size of its content as the header tells it; may reach past the end of the file.</param>
internal readonly record struct Chunk(string Name, long Offset, long Bytes);
