namespace RenderGraph.Nodes.Tests.AudioFiles.Writing;

/// <summary>A disk with room for so many bytes; then it fails as the system does, with ENOSPC of Linux.</summary>
internal sealed class FullDisk(Stream disk, long roomBytes) : Stream
{
    public override bool CanRead => true;

    public override bool CanSeek => true;

    public override bool CanWrite => true;

    public override long Length => disk.Length;

    public override long Position { get => disk.Position; set => disk.Position = value; }

    public override void Flush() => disk.Flush();

    public override int Read(byte[] buffer, int offset, int count) => disk.Read(buffer, offset, count);

    public override long Seek(long offset, SeekOrigin origin) => disk.Seek(offset, origin);

    public override void SetLength(long value) => disk.SetLength(value);

    public override void Write(byte[] buffer, int offset, int count)
    {
        if (Position + count > roomBytes) throw new IOException("No space left on device", 28);
        disk.Write(buffer, offset, count);
    }

    protected override void Dispose(bool disposing)
    {
        if (disposing) disk.Dispose();
        base.Dispose(disposing);
    }
}
