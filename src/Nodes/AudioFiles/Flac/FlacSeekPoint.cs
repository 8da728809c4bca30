namespace RenderGraph.Nodes.AudioFiles.Flac;

/// <summary>A place that one may begin at (RFC 9639, section 8.5); believed only if a frame of that number lies there.</summary>
/// <param name="Frame">First frame of a block.</param>
/// <param name="Offset">Where the block lies, from the first one's beginning.</param>
internal readonly record struct FlacSeekPoint(long Frame, long Offset);
