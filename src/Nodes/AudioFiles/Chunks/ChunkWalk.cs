using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Chunks;

/// <summary>Steps from chunk to chunk of a file. Every step goes forward and stays inside the real file.</summary>
/// <param name="firstChunk">Where the first chunk's head begins.</param>
internal abstract class ChunkWalk(StemFile file, long firstChunk)
{
    private const int MostChunks = 4096;

    private long _at = firstChunk;
    private int _count;

    /// <summary>Bytes in the real file.</summary>
    public long FileBytes => file.LengthBytes;

    /// <summary>Bytes the header speaks of, the header included.</summary>
    public long FileBytesTold { get; protected init; }

    /// <summary>Whether the header means another size; a pad byte more or less is common and harmless.</summary>
    public bool IsWrongSize => Math.Abs(FileBytesTold - FileBytes) > 1;

    /// <summary>Why the walk ended before the end of the file, or null.</summary>
    public string? Trouble { get; private set; }

    /// <summary>Bytes from the beginning of a chunk to that of its content.</summary>
    protected abstract int HeadBytes { get; }

    /// <summary>The file walked through.</summary>
    protected StemFile File => file;

    /// <summary>The next chunk, or null at the end.</summary>
    public Chunk? Next()
    {
        if (_at + HeadBytes > FileBytes) return null;
        if (++_count > MostChunks)
        {
            Trouble = Invariant($"after {MostChunks:N0} chunks the search ended");
            return null;
        }

        var bytes = file.Bytes(_at, HeadBytes);
        if (bytes.Length < HeadBytes || ReadHead(bytes) is not { } head)
        {
            Trouble = Invariant($"where a chunk should begin, at byte {_at:N0}, there is none");
            return null;
        }

        var chunk = new Chunk(head.Name, _at + HeadBytes, head.Bytes);
        if (chunk.Bytes > FileBytes - chunk.Offset)
        {
            Trouble = Invariant($"chunk \"{chunk.Name}\" at byte {_at:N0} claims {chunk.Bytes:N0} bytes, but the file ends {FileBytes - chunk.Offset:N0} bytes on");
            Stop();
        }
        else
        {
            _at = chunk.Offset + Math.Max(0, chunk.Bytes) + PadBytes(chunk);
        }

        return chunk;
    }

    /// <summary>Whether a chunk's size was never filled in, so that it reaches to the end of the file.</summary>
    public bool IsOpenEnded(Chunk chunk)
    {
        var bytesThere = FileBytes - chunk.Offset;

        // Placeholders of common writers; observed, no source. A size past the end that is none of them means a file cut short.
        if (chunk.Bytes is 0xFFFFFFFF or 0x7FFFFFFF or 0x7FFFF000) return chunk.Bytes > bytesThere;
        if (chunk.Bytes is < 0 or long.MaxValue) return true;

        // 0 may be meant: then chunks follow, up to the very end.
        return chunk.Bytes == 0 && bytesThere > 0 && !ChunksReachTheEnd(chunk.Offset);
    }

    /// <summary>Ends the walk.</summary>
    public void Stop() => _at = FileBytes;

    /// <summary>The content's first bytes, <paramref name="most"/> of them.</summary>
    public byte[] Content(Chunk chunk, int most) => file.Bytes(chunk.Offset, (int)Math.Clamp(chunk.Bytes, 0, most));

    /// <summary>Understands a chunk's head: its name and the size of its content; null if it is none.</summary>
    protected abstract (string Name, long Bytes)? ReadHead(ReadOnlySpan<byte> head);

    /// <summary>Bytes between a chunk's end and the next one's beginning.</summary>
    protected abstract long PadBytes(Chunk chunk);

    /// <summary>A walk of the same kind that begins elsewhere.</summary>
    protected abstract ChunkWalk From(long offset);

    private bool ChunksReachTheEnd(long from)
    {
        var ahead = From(from);
        while (ahead.Next() is not null)
        {
            // Only the way matters.
        }

        return ahead.Trouble is null && ahead._at >= ahead.FileBytes;
    }
}
