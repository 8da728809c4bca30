using System.Buffers.Binary;

namespace RenderGraph.Nodes.AudioFiles.Wave;

/// <summary>The <c>bext</c> chunk of Broadcast Wave (EBU Tech 3285): where and when a recording was made, in fields of fixed length.</summary>
internal static class BroadcastChunk
{
    /// <summary>Bytes before the coding history, which has no fixed length.</summary>
    public const int FixedBytes = 602;

    private const int TimeReferenceAt = 338;

    /// <summary>Frames from midnight to the file's first; null if the chunk is too short to say, or says what cannot be.</summary>
    public static long? TimeReferenceFrames(ReadOnlySpan<byte> content) =>
        content.Length >= TimeReferenceAt + 8 && BinaryPrimitives.ReadUInt64LittleEndian(content[TimeReferenceAt..]) is var frames and <= long.MaxValue ? (long)frames : null;
}
