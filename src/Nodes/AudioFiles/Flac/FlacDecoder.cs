using System.Buffers.Binary;
using System.Security.Cryptography;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles.Decoding;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Flac;

/// <summary>
/// Decodes a FLAC file from any block on. Every block is checked by its checksums and must begin where the one before ended; once all
/// have gone by, in order, the MD5 of all samples is compared with the header's.
/// </summary>
internal sealed class FlacDecoder : ISequentialDecoder, IDisposable
{
    private const int SearchBytes = 16 * 1024;

    private readonly StemFile _file;
    private readonly FlacHeader _header;
    private readonly long _lengthFrames;
    private readonly FlacBits _bits;
    private readonly FlacBlock _block, _probe;
    private readonly byte[] _stored;
    private long _at;

    /// <summary>Null once there is nothing more to compare.</summary>
    private IncrementalHash? _md5;
    private long _hashedFrames;

    /// <param name="lengthFrames">Frames that are really there.</param>
    public FlacDecoder(StemFile file, FlacHeader header, long lengthFrames)
    {
        (_file, _header, _lengthFrames) = (file, header, lengthFrames);
        (_bits, _block, _probe) = (new(file), new(header.Info), new(header.Info));
        _stored = new byte[header.Info.MostBlockFrames * header.Info.Channels * BytesPerSample];
        _bits.Seek(header.FirstBlockOffset);
#pragma warning disable CA5351 // The format's own choice: it guards against damage, not against people.
        if (header.Info.LengthFrames == lengthFrames && header.Info.Md5.AsSpan().IndexOfAnyExcept((byte)0) >= 0) _md5 = IncrementalHash.CreateHash(HashAlgorithmName.MD5);
#pragma warning restore CA5351
    }

    /// <inheritdoc/>
    public int MostFrames => _header.Info.MostBlockFrames;

    private int BytesPerSample => (_header.Info.Bits + 7) / 8;

    /// <inheritdoc/>
    public int Decode(Signal into)
    {
        if (_at >= _lengthFrames) return 0;
        if (_block.Decode(_bits) is { } fault) throw Damaged(fault);
        if (_block.FirstFrame != _at) throw Damaged(Invariant($"says that it begins at frame {_block.FirstFrame:N0}"));
        _block.CopyTo(into);
        Hash();
        _at += _block.Frames;
        return (int)Math.Min(_block.Frames, _lengthFrames - (_at - _block.Frames));
    }

    /// <inheritdoc/>
    public long Seek(long frame)
    {
        if (frame >= _at && frame - _at < 4 * MostFrames) return _at;
        var (from, fromFrame) = (_header.FirstBlockOffset, 0L);
        foreach (var point in _header.SeekPoints)
        {
            // Whether a block of that number is there, only the block can say.
            if (point.Frame > fromFrame && point.Frame <= frame && point.Offset < _file.LengthBytes - _header.FirstBlockOffset
                && IsBlockAt(_header.FirstBlockOffset + point.Offset) && _probe.FirstFrame == point.Frame)
                (from, fromFrame) = (_header.FirstBlockOffset + point.Offset, point.Frame);
        }

        // Halving: a block that begins before the frame moves the lower end up, one behind it the upper end down.
        for (var to = _file.LengthBytes; to - from > SearchBytes * 4;)
        {
            var middle = from + ((to - from) / 2);
            if (BlockAfter(middle, to) is { } offset && _probe.FirstFrame <= frame && _probe.FirstFrame > fromFrame) (from, fromFrame) = (offset, _probe.FirstFrame);
            else to = middle;
        }

        _bits.Seek(from);
        return _at = fromFrame;
    }

    /// <inheritdoc/>
    public void Dispose() => _md5?.Dispose();

    private bool IsBlockAt(long offset)
    {
        _bits.Seek(offset);
        return _probe.Decode(_bits) is null;
    }

    /// <summary>The first block that begins in a stretch of the file from there on.</summary>
    private long? BlockAfter(long offset, long end)
    {
        var bytes = new byte[(int)Math.Min(SearchBytes + FlacBlockHeader.MostBytes, end - offset)];
        _file.Fill(bytes, offset);
        for (var i = 0; i < bytes.Length - 1; i++)
        {
            if (bytes[i] == 0xFF && FlacBlockHeader.Read(bytes.AsSpan(i), _header.Info) is not null && IsBlockAt(offset + i)) return offset + i;
        }

        return null;
    }

    private StemException Damaged(string fault) =>
        _file.Damaged(Invariant($"the block of sound at frame {_at:N0} ({(double)_at / _header.Info.SampleRateHz:0.000} s) {fault}"));

    /// <summary>MD5 runs over the samples as integers, interleaved, their lowest byte first (section 8.2).</summary>
    private void Hash()
    {
        if (_md5 is null || _at != _hashedFrames) return;
        var (channels, bytesPerSample) = (_header.Info.Channels, BytesPerSample);
        for (var channel = 0; channel < channels; channel++)
        {
            var plane = _block[channel];
            var at = channel * bytesPerSample;
            for (var frame = 0; frame < plane.Length; frame++, at += channels * bytesPerSample)
                Store((int)plane[frame], _stored.AsSpan(at, bytesPerSample));
        }

        _md5.AppendData(_stored, 0, _block.Frames * channels * bytesPerSample);
        _hashedFrames += _block.Frames;
        if (_hashedFrames < _lengthFrames) return;
        var isSame = _md5.GetHashAndReset().AsSpan().SequenceEqual(_header.Info.Md5);
        _md5.Dispose();
        _md5 = null;
        if (!isSame) throw _file.Damaged("every block of sound is in order, but together they are not what was encoded: the MD5 of the samples is not the one in the header", "Encode or export it again");
    }

    private static void Store(int sample, Span<byte> into)
    {
        switch (into.Length)
        {
            case 1:
                into[0] = (byte)sample;
                break;
            case 2:
                BinaryPrimitives.WriteInt16LittleEndian(into, (short)sample);
                break;
            case 3:
                BinaryPrimitives.WriteInt16LittleEndian(into, (short)sample);
                into[2] = (byte)(sample >> 16);
                break;
            default:
                BinaryPrimitives.WriteInt32LittleEndian(into, sample);
                break;
        }
    }
}
