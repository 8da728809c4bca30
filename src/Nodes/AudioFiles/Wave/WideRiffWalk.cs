using System.Buffers.Binary;
using System.Text;
using RenderGraph.Nodes.AudioFiles.Chunks;

namespace RenderGraph.Nodes.AudioFiles.Wave;

/// <summary>Chunks of RF64 and BW64: where a size of 32 bits is all ones, the real one stands in the ds64 chunk (EBU Tech 3306, ITU-R BS.2088).</summary>
internal sealed class WideRiffWalk : FourLetterWalk
{
    private const int MostWideChunks = 256;
    private const uint SeeDs64 = uint.MaxValue;

    /// <summary>The sizes of chunks past 4 GB, by name; empty without ds64.</summary>
    private readonly Dictionary<string, long> _wideBytes;

    /// <summary>Begins at the first chunk.</summary>
    public WideRiffWalk(StemFile file) : this(file, 12, [])
    {
        var told = Size(file.Bytes(4, 4), isBigEndian: false);
        FileBytesTold = 8L + told;
        var head = file.Bytes(12, 8).AsSpan();
        if (head.Length < 8 || !head[..4].SequenceEqual("ds64"u8)) return;
        var bytes = BinaryPrimitives.ReadUInt32LittleEndian(head[4..]);
        var content = file.Bytes(20, (int)Math.Min(bytes, 28 + (12 * MostWideChunks))).AsSpan();
        if (content.Length < 16) return;
        for (var at = 28; at + 12 <= content.Length; at += 12)
        {
            if ((at - 28) / 12 >= BinaryPrimitives.ReadUInt32LittleEndian(content[24..])) break;
            _wideBytes[Encoding.ASCII.GetString(content.Slice(at, 4))] = Wide(content[(at + 4)..]);
        }

        if (told == SeeDs64) FileBytesTold = Math.Min(Wide(content), long.MaxValue - 8) + 8;
        _wideBytes["data"] = Wide(content[8..]);
    }

    private WideRiffWalk(StemFile file, long firstChunk, Dictionary<string, long> wideBytes) : base(file, firstChunk, isBigEndian: false) => _wideBytes = wideBytes;

    /// <inheritdoc/>
    protected override (string Name, long Bytes)? ReadHead(ReadOnlySpan<byte> head) =>
        base.ReadHead(head) is not { } plain ? null
        : plain.Bytes == SeeDs64 && _wideBytes.TryGetValue(plain.Name, out var wide) ? (plain.Name, wide)
        : plain;

    /// <inheritdoc/>
    protected override ChunkWalk From(long offset) => new WideRiffWalk(File, offset, _wideBytes);

    /// <summary>Nobody has more than 2^63 bytes: what is past it was never filled in.</summary>
    private static long Wide(ReadOnlySpan<byte> bytes) => (long)Math.Min(BinaryPrimitives.ReadUInt64LittleEndian(bytes), long.MaxValue);
}
