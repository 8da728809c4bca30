using NLayer;

namespace RenderGraph.Nodes.AudioFiles.Mpeg;

/// <summary>One frame's bytes as NLayer wants them. Past its end come zeros.</summary>
internal sealed class MpegFrame : IMpegFrame
{
    private readonly byte[] _bytes = new byte[MpegFrameHeader.MostFrameBytes];
    private MpegFrameHeader _header;
    private int _bitAt;

    /// <inheritdoc/>
    public int SampleRate => _header.SampleRateHz;

    /// <inheritdoc/>
    public int SampleRateIndex => _header.SampleRateIndex;

    /// <inheritdoc/>
    public int FrameLength => _header.FrameBytes;

    /// <inheritdoc/>
    public int BitRate => _header.BitRateKbps * 1000;

    /// <inheritdoc/>
    public MpegVersion Version => _header.Version switch { 1 => MpegVersion.Version1, 2 => MpegVersion.Version2, _ => MpegVersion.Version25 };

    /// <inheritdoc/>
    public MpegLayer Layer => MpegLayer.LayerIII;

    /// <inheritdoc/>
    public MpegChannelMode ChannelMode => (MpegChannelMode)_header.Mode;

    /// <inheritdoc/>
    public int ChannelModeExtension => _header.ModeExtension;

    /// <inheritdoc/>
    public int SampleCount => _header.Samples;

    /// <inheritdoc/>
    public int BitRateIndex => _header.BitRateIndex;

    /// <inheritdoc/>
    public bool IsCopyrighted => false;

    /// <inheritdoc/>
    public bool HasCrc => _header.HasCrc;

    /// <inheritdoc/>
    public bool IsCorrupted => false;

    /// <summary>Takes the frame that lies there.</summary>
    public void Load(StemFile file, long offset, MpegFrameHeader header)
    {
        _header = header;
        file.Fill(_bytes.AsSpan(0, header.FrameBytes), offset);
        Reset();
    }

    /// <inheritdoc/>
    public void Reset() => _bitAt = 8 * (MpegFrameHeader.Bytes + (_header.HasCrc ? 2 : 0));

    /// <inheritdoc/>
    public int ReadBits(int bitCount)
    {
        var value = 0;
        for (var i = 0; i < bitCount; i++, _bitAt++)
        {
            var bit = _bitAt / 8 < FrameLength ? _bytes[_bitAt / 8] >> (7 - (_bitAt & 7)) & 1 : 0;
            value = (value << 1) | bit;
        }

        return value;
    }
}
