namespace RenderGraph.Nodes.AudioFiles;

/// <summary>A stem's file as a stream, for libraries that want one; read only.</summary>
internal sealed class StemStream(StemFile file, long start) : Stream
{
    /// <inheritdoc/>
    public override bool CanRead => true;

    /// <inheritdoc/>
    public override bool CanSeek => true;

    /// <inheritdoc/>
    public override bool CanWrite => false;

    /// <inheritdoc/>
    public override long Length => file.LengthBytes - start;

    /// <inheritdoc/>
    public override long Position { get; set; }

    /// <inheritdoc/>
    public override int Read(byte[] buffer, int offset, int count) => Read(buffer.AsSpan(offset, count));

    /// <inheritdoc/>
    public override int Read(Span<byte> buffer)
    {
        if (Position >= Length) return 0;
        var part = buffer[..(int)Math.Min(buffer.Length, Length - Position)];
        file.Fill(part, start + Position);
        Position += part.Length;
        return part.Length;
    }

    /// <inheritdoc/>
    public override long Seek(long offset, SeekOrigin origin) => Position = offset + origin switch
    {
        SeekOrigin.Begin => 0,
        SeekOrigin.Current => Position,
        _ => Length,
    };

    /// <inheritdoc/>
    public override void Flush()
    {
    }

    /// <inheritdoc/>
    public override void SetLength(long value) => throw new NotSupportedException();

    /// <inheritdoc/>
    public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
}
