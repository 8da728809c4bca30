using System.Buffers.Binary;
using System.Text;
using Microsoft.Win32.SafeHandles;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Wave;

/// <summary>Steps from chunk to chunk of a RIFF, RF64 or BW64 file. Every step goes forward and stays inside the real file.</summary>
internal sealed class ChunkWalk(SafeFileHandle file)
{
    private const int MostChunks = 4096, MostWideChunks = 256;
    private const uint SeeDs64 = uint.MaxValue;

    /// <summary>The sizes of chunks past 4 GB, by name; null in a RIFF file.</summary>
    private Dictionary<string, long>? _wideBytes;
    private long _at = 12;
    private int _count;

    /// <summary>Bytes in the real file.</summary>
    public long FileBytes { get; } = RandomAccess.GetLength(file);

    /// <summary>Bytes the header speaks of, the header included.</summary>
    public long FileBytesTold { get; private set; }

    /// <summary>Whether the header means another size; a pad byte more or less is common and harmless.</summary>
    public bool IsWrongSize => Math.Abs(FileBytesTold - FileBytes) > 1;

    /// <summary>Why the walk ended before the end of the file, or null.</summary>
    public string? Trouble { get; private set; }

    /// <summary>Reads the file's first bytes; returns what it is instead, or null if chunks can be walked.</summary>
    public string? Open()
    {
        var start = Bytes(0, FileKind.Bytes);
        var isWide = start.AsSpan().StartsWith("RF64"u8) || start.AsSpan().StartsWith("BW64"u8);
        var isWave = start.Length >= 12 && (isWide || start.AsSpan().StartsWith("RIFF"u8)) && start.AsSpan(8, 4).SequenceEqual("WAVE"u8);
        if (!isWave)
        {
            return FileKind.Describe(start) is { } kind
                ? $"by its content it is {kind}; a stem is a WAV, RF64 or BW64 file"
                : "its content is of no known kind; a stem is a WAV, RF64 or BW64 file";
        }

        FileBytesTold = 8L + BinaryPrimitives.ReadUInt32LittleEndian(start.AsSpan(4));
        if (isWide) ReadWideSizes();
        return null;
    }

    /// <summary>The next chunk, or null at the end.</summary>
    public Chunk? Next()
    {
        if (_at + 8 > FileBytes) return null;
        if (++_count > MostChunks)
        {
            Trouble = Invariant($"after {MostChunks:N0} chunks the search ended");
            return null;
        }

        var head = Bytes(_at, 8);
        if (head.Length < 8 || !FileKind.IsPlausible(head.AsSpan(0, 4)))
        {
            Trouble = Invariant($"where a chunk should begin, at byte {_at:N0}, there is none");
            return null;
        }

        var name = Encoding.ASCII.GetString(head, 0, 4);
        long bytes = BinaryPrimitives.ReadUInt32LittleEndian(head.AsSpan(4));
        if (bytes == SeeDs64 && _wideBytes is not null && _wideBytes.TryGetValue(name, out var wideBytes)) bytes = wideBytes;
        var chunk = new Chunk(name, _at + 8, bytes);
        if (bytes > FileBytes - chunk.Offset)
        {
            Trouble = Invariant($"chunk \"{name}\" at byte {_at:N0} claims {bytes:N0} bytes, but the file ends {FileBytes - chunk.Offset:N0} bytes on");
            Stop();
        }
        else
        {
            _at = chunk.Offset + bytes + PadBytes(chunk.Offset + bytes, bytes);
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
    public byte[] Content(Chunk chunk, int most) => Bytes(chunk.Offset, (int)Math.Min(chunk.Bytes, most));

    /// <summary>EBU Tech 3306: RIFF size, data size, frames, and a table of further sizes. Sizes past 2^63 come out negative: nobody knows them.</summary>
    private void ReadWideSizes()
    {
        var head = Bytes(12, 8);
        if (head.Length < 8 || !head.AsSpan(0, 4).SequenceEqual("ds64"u8)) return;
        var bytes = BinaryPrimitives.ReadUInt32LittleEndian(head.AsSpan(4));
        var content = Bytes(20, (int)Math.Min(bytes, 28 + (12 * MostWideChunks)));
        if (content.Length < 16) return;
        _wideBytes = [];
        for (var at = 28; at + 12 <= content.Length && content.Length >= 28; at += 12)
        {
            if ((at - 28) / 12 >= BinaryPrimitives.ReadUInt32LittleEndian(content.AsSpan(24))) break;
            _wideBytes[Encoding.ASCII.GetString(content, at, 4)] = (long)Math.Min(BinaryPrimitives.ReadUInt64LittleEndian(content.AsSpan(at + 4)), long.MaxValue);
        }

        if (FileBytesTold == 8L + SeeDs64)
            FileBytesTold = (long)Math.Min(BinaryPrimitives.ReadUInt64LittleEndian(content), long.MaxValue - 8) + 8;
        _wideBytes["data"] = (long)Math.Min(BinaryPrimitives.ReadUInt64LittleEndian(content.AsSpan(8)), long.MaxValue);
    }

    /// <summary>A chunk of odd size is followed by a pad byte, but some writers forget it: then a name stands there already.</summary>
    private int PadBytes(long end, long bytes)
    {
        if ((bytes & 1) == 0) return 0;
        var next = Bytes(end, 5);
        return next.Length == 5 && FileKind.IsPlausible(next.AsSpan(0, 4)) && !FileKind.IsPlausible(next.AsSpan(1, 4)) ? 0 : 1;
    }

    private bool ChunksReachTheEnd(long from)
    {
        var ahead = new ChunkWalk(file) { _at = from };
        while (ahead.Next() is not null)
        {
            // Only the way matters.
        }

        return ahead.Trouble is null && ahead._at >= ahead.FileBytes;
    }

    private byte[] Bytes(long offset, int count)
    {
        var bytes = new byte[Math.Min(count, Math.Max(0, FileBytes - offset))];
        var read = 0;
        while (read < bytes.Length)
        {
            var more = RandomAccess.Read(file, bytes.AsSpan(read), offset + read);
            if (more == 0) break;
            read += more;
        }

        return read == bytes.Length ? bytes : bytes[..read];
    }
}
