namespace RenderGraph.Nodes.AudioFiles.Flac;

/// <summary>Finds where a file's sound really ends: its last whole block, looked for from the end of the file.</summary>
internal static class FlacEnd
{
    private const int StretchBytes = 64 * 1024;

    /// <summary>A false block may look like a true one up to its checksum, but rarely: who fails so often is no FLAC file, or one made to cost time.</summary>
    private const int MostAttempts = 64;

    /// <summary>How far a block may reach before the end of the file: 24 bits hold its size, and a tag may follow (section 8.2).</summary>
    private const long MostBytesBack = 2 << 24;

    /// <summary>The frame after the last whole block's last, or null if there is none.</summary>
    public static long? Find(StemFile file, FlacHeader header)
    {
        var (bits, block) = (new FlacBits(file), new FlacBlock(header.Info));
        var attempts = 0;
        var lowest = Math.Max(header.FirstBlockOffset, file.LengthBytes - MostBytesBack);
        for (var end = file.LengthBytes; end > lowest;)
        {
            var start = Math.Max(lowest, end - StretchBytes);

            // A header may lie across the end of a stretch.
            var bytes = file.Bytes(start, (int)Math.Min(end - start + FlacBlockHeader.MostBytes - 1, file.LengthBytes - start));
            for (var i = (int)Math.Min(end - start, bytes.Length) - 1; i >= 0; i--)
            {
                if (bytes[i] != 0xFF || FlacBlockHeader.Read(bytes.AsSpan(i), header.Info) is null) continue;
                bits.Seek(start + i);
                if (block.Decode(bits) is null) return block.FirstFrame + block.Frames;
                if (++attempts == MostAttempts) return null;
            }

            end = start;
        }

        return null;
    }
}
