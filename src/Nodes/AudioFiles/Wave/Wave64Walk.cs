using System.Buffers.Binary;
using System.Text;
using RenderGraph.Nodes.AudioFiles.Chunks;

namespace RenderGraph.Nodes.AudioFiles.Wave;

/// <summary>
/// Chunks of Wave64: a GUID that begins with the four letters of RIFF, a size of 64 bits that counts this head too, contents on multiples
/// of 8 bytes. (The format's description by its makers, from memory; held to files that ffmpeg and libsndfile write.)
/// </summary>
internal sealed class Wave64Walk : ChunkWalk
{
    /// <summary>Of the file's own head, GUID and size, and the GUID of its kind.</summary>
    private const int FileHeadBytes = 40;

    /// <summary>Begins at the first chunk.</summary>
    public Wave64Walk(StemFile file) : this(file, FileHeadBytes) =>
        FileBytesTold = file.Bytes(16, 8) is { Length: 8 } size ? (long)Math.Min(BinaryPrimitives.ReadUInt64LittleEndian(size), long.MaxValue) : 0;

    private Wave64Walk(StemFile file, long firstChunk) : base(file, firstChunk)
    {
    }

    /// <summary>riff and wave, the first with a GUID of its own.</summary>
    public static ReadOnlySpan<byte> RiffGuid => [0x72, 0x69, 0x66, 0x66, 0x2E, 0x91, 0xCF, 0x11, 0xA5, 0xD6, 0x28, 0xDB, 0x04, 0xC1, 0x00, 0x00];

    /// <summary>The end of the GUIDs of wave, fmt and data: the letters stand before it.</summary>
    public static ReadOnlySpan<byte> GuidTail => [0xF3, 0xAC, 0xD3, 0x11, 0x8C, 0xD1, 0x00, 0xC0, 0x4F, 0x8E, 0xDB, 0x8A];

    /// <inheritdoc/>
    protected override int HeadBytes => 24;

    /// <inheritdoc/>
    protected override (string Name, long Bytes)? ReadHead(ReadOnlySpan<byte> head)
    {
        var bytes = BinaryPrimitives.ReadUInt64LittleEndian(head[16..]);

        // 0 and all ones are what a writer leaves who never came back; anything else counts the head.
        if (bytes is > 0 and < 24) return null;
        var content = bytes == 0 ? 0 : bytes > long.MaxValue ? -1 : (long)bytes - 24;
        var name = FileKind.IsPlausible(head[..4]) && head.Slice(4, 12).SequenceEqual(GuidTail) ? Encoding.ASCII.GetString(head[..4]) : new Guid(head[..16]).ToString();
        return (name, content);
    }

    /// <inheritdoc/>
    protected override long PadBytes(Chunk chunk) => -Math.Max(0, chunk.Bytes) & 7;

    /// <inheritdoc/>
    protected override ChunkWalk From(long offset) => new Wave64Walk(File, offset);
}
