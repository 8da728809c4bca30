namespace RenderGraph.Nodes.AudioFiles.Flac;

/// <summary>The STREAMINFO block (RFC 9639, section 8.2).</summary>
/// <param name="MostBlockFrames">Frames of a block, at most; in a file of fixed blocks, of each but the last.</param>
/// <param name="LengthFrames">0 if unknown.</param>
/// <param name="Md5">Of all samples; 16 zeros if unknown.</param>
internal sealed record FlacStreamInfo(int MostBlockFrames, int SampleRateHz, int Channels, int Bits, long LengthFrames, byte[] Md5)
{
    /// <summary>Bytes of the block.</summary>
    public const int Bytes = 34;

    /// <summary>No block has fewer frames, except the last.</summary>
    public const int LeastBlockFrames = 16;

    /// <summary>Understands the block. What is out of bounds is for others to judge.</summary>
    public static FlacStreamInfo Read(ReadOnlySpan<byte> block)
    {
        var packed = System.Buffers.Binary.BinaryPrimitives.ReadUInt64BigEndian(block[10..]);
        return new(
            System.Buffers.Binary.BinaryPrimitives.ReadUInt16BigEndian(block[2..]), (int)(packed >> 44), (int)(packed >> 41 & 7) + 1, (int)(packed >> 36 & 31) + 1,
            (long)(packed & 0xF_FFFF_FFFF), block.Slice(18, 16).ToArray());
    }
}
