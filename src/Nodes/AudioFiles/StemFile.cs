using Microsoft.Win32.SafeHandles;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles;

/// <summary>A stem's file, open for reading only. No position, so any number of threads may read at once.</summary>
internal sealed class StemFile : IDisposable
{
    private readonly DateTime _writtenAt;

    /// <param name="path">Of an ordinary file: opening a pipe would wait for its other end.</param>
    /// <exception cref="IOException">It cannot be opened.</exception>
    /// <exception cref="UnauthorizedAccessException">It may not be opened.</exception>
    public StemFile(string path)
    {
        Path = path;
        Handle = File.OpenHandle(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete, FileOptions.SequentialScan);
        LengthBytes = RandomAccess.GetLength(Handle);
        _writtenAt = File.GetLastWriteTimeUtc(Handle);
        TagBytes = FindTagBytes();
    }

    /// <summary>As it was opened.</summary>
    public string Path { get; }

    /// <summary>Bytes in the real file, when it was opened: whatever a header claims, nothing lies beyond.</summary>
    public long LengthBytes { get; }

    /// <summary>Bytes of an ID3v2 tag (id3.org, ID3v2.4.0, section 3) before everything else; what the file is begins behind it.</summary>
    public long TagBytes { get; }

    /// <summary>For readers with a way of their own.</summary>
    public SafeFileHandle Handle { get; }

    /// <summary>Bytes of a header; fewer where the file ends.</summary>
    public byte[] Bytes(long offset, int count)
    {
        var bytes = new byte[Math.Min(count, Math.Max(0, LengthBytes - offset))];
        var read = Read(bytes, offset);
        return read == bytes.Length ? bytes : bytes[..read];
    }

    /// <summary>Reads until <paramref name="into"/> is full or the file ends; returns how many bytes.</summary>
    public int Read(Span<byte> into, long offset)
    {
        var read = 0;
        while (read < into.Length)
        {
            var more = RandomAccess.Read(Handle, into[read..], offset + read);
            if (more == 0) break;
            read += more;
        }

        return read;
    }

    /// <summary>Reads sound, which was there when the file was opened.</summary>
    /// <exception cref="StemException">It is there no longer, or the disk fails.</exception>
    public void Fill(Span<byte> into, long offset) => Fill(into, offset, into.Length);

    /// <summary>The same of sound of which only the <paramref name="least"/> first bytes are needed now; returns how many could be read.</summary>
    public int Fill(Span<byte> into, long offset, int least)
    {
        try
        {
            var read = Read(into, offset);
            if (read < least)
            {
                throw new StemException(DiagnosticCode.StemDamaged, Path, Invariant($"the file has become shorter since it was opened: byte {offset + read:N0} is gone"),
                    "Render again when nothing writes to it any more");
            }

            return read;
        }
        catch (IOException failure)
        {
            throw Failed(failure);
        }
    }

    /// <inheritdoc cref="IStemReader.CheckUnchanged"/>
    public void CheckUnchanged()
    {
        if (RandomAccess.GetLength(Handle) == LengthBytes && File.GetLastWriteTimeUtc(Handle) == _writtenAt) return;
        throw new StemException(DiagnosticCode.StemDamaged, Path, "the file was written to while it was read, so the sound may be half old and half new",
            "Render again when nothing writes to it any more");
    }

    /// <summary>Puts a failure of the disk into words.</summary>
    public StemException Failed(IOException failure) => new(
        DiagnosticCode.StemUnreadable, Path, $"the file can no longer be read ({failure.Message.TrimEnd('.')})", "Check the disk or the connection to it", failure);

    /// <summary>What is said when the middle of a file turns out to be broken.</summary>
    public StemException Damaged(string sentence, string remedy = "Copy or export it again") => new(DiagnosticCode.StemDamaged, Path, sentence, remedy);

    private long FindTagBytes()
    {
        const int HeadBytes = 10, HasFooter = 0x10;
        var head = Bytes(0, HeadBytes);
        if (head.Length < HeadBytes || !head.AsSpan().StartsWith("ID3"u8) || head.AsSpan(6, 4).IndexOfAnyExceptInRange((byte)0, (byte)0x7F) >= 0) return 0;
        var bytes = HeadBytes + (head[6] << 21 | head[7] << 14 | head[8] << 7 | head[9]) + ((head[5] & HasFooter) != 0 ? HeadBytes : 0);
        return bytes < LengthBytes ? bytes : 0;
    }

    /// <inheritdoc/>
    public void Dispose() => Handle.Dispose();
}
