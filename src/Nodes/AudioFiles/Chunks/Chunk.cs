namespace RenderGraph.Nodes.AudioFiles.Chunks;

/// <summary>One chunk of a file.</summary>
/// <param name="Name">Four letters.</param>
/// <param name="Offset">Where its content begins.</param>
/// <param name="Bytes">Size of its content as the header tells it; may reach past the end of the file, and is negative if nobody knows it.</param>
internal readonly record struct Chunk(string Name, long Offset, long Bytes);
