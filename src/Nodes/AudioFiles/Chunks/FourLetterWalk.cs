using System.Buffers.Binary;
using System.Text;

namespace RenderGraph.Nodes.AudioFiles.Chunks;

/// <summary>Chunks of RIFF and of IFF (EA IFF 85, of which AIFF is a kind): a name of four letters, a size of 32 bits, contents on even bytes.</summary>
/// <param name="isBigEndian">As in IFF and RIFX.</param>
internal class FourLetterWalk(StemFile file, long firstChunk, bool isBigEndian) : ChunkWalk(file, firstChunk)
{
    /// <inheritdoc/>
    protected sealed override int HeadBytes => 8;

    /// <summary>A file's own header: its name, its size, its kind.</summary>
    public static FourLetterWalk Of(StemFile file, bool isBigEndian) =>
        new(file, 12, isBigEndian) { FileBytesTold = 8L + Size(file.Bytes(4, 4), isBigEndian) };

    /// <inheritdoc/>
    protected override (string Name, long Bytes)? ReadHead(ReadOnlySpan<byte> head) =>
        FileKind.IsPlausible(head[..4]) ? (Encoding.ASCII.GetString(head[..4]), Size(head[4..], isBigEndian)) : null;

    /// <summary>A chunk of odd size is followed by a pad byte, but some writers forget it: then a name stands there already.</summary>
    protected sealed override long PadBytes(Chunk chunk)
    {
        if ((chunk.Bytes & 1) == 0) return 0;
        var next = File.Bytes(chunk.Offset + chunk.Bytes, 5).AsSpan();
        return next.Length == 5 && FileKind.IsPlausible(next[..4]) && !FileKind.IsPlausible(next.Slice(1, 4)) ? 0 : 1;
    }

    /// <inheritdoc/>
    protected override ChunkWalk From(long offset) => new FourLetterWalk(File, offset, isBigEndian);

    /// <summary>A size as it is stored; of a cut header 0.</summary>
    private protected static uint Size(ReadOnlySpan<byte> bytes, bool isBigEndian) =>
        bytes.Length < 4 ? 0 : isBigEndian ? BinaryPrimitives.ReadUInt32BigEndian(bytes) : BinaryPrimitives.ReadUInt32LittleEndian(bytes);
}
