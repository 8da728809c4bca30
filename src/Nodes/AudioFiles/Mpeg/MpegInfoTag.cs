using System.Buffers.Binary;

namespace RenderGraph.Nodes.AudioFiles.Mpeg;

/// <summary>
/// What encoders put into a first frame without sound: how many frames follow, and how much silence they added before and behind (no
/// standard: the "Info tag revision 1" of 2002, from memory, held in the tests to what other decoders trim).
/// </summary>
/// <param name="Frames">That follow; null if it does not say.</param>
/// <param name="DelayFrames">Frames of sound that the encoder put before the song; null if it does not say.</param>
/// <param name="PaddingFrames">Frames of sound behind the song.</param>
internal sealed record MpegInfoTag(long? Frames, int? DelayFrames, int PaddingFrames)
{
    private const int HasFrames = 1, HasBytes = 2, HasTable = 4, HasQuality = 8;

    /// <summary>Of a stream's first frame; null if it is one with sound.</summary>
    public static MpegInfoTag? Read(ReadOnlySpan<byte> frame, MpegFrameHeader header)
    {
        // Fraunhofer's always stands behind 32 bytes.
        if (frame.Length >= 36 + 18 && frame.Slice(36, 4).SequenceEqual("VBRI"u8)) return new(BinaryPrimitives.ReadUInt32BigEndian(frame[(36 + 14)..]), null, 0);
        var at = MpegFrameHeader.Bytes + header.SideBytes;
        if (frame.Length < at + 8 || !(frame.Slice(at, 4).SequenceEqual("Xing"u8) || frame.Slice(at, 4).SequenceEqual("Info"u8))) return null;
        var flags = BinaryPrimitives.ReadUInt32BigEndian(frame[(at + 4)..]);
        at += 8;
        long? frames = null;
        if ((flags & HasFrames) != 0)
        {
            if (frame.Length < at + 4) return new(null, null, 0);
            frames = BinaryPrimitives.ReadUInt32BigEndian(frame[at..]);
            at += 4;
        }

        at += ((flags & HasBytes) != 0 ? 4 : 0) + ((flags & HasTable) != 0 ? 100 : 0) + ((flags & HasQuality) != 0 ? 4 : 0);

        // The encoder's name in 9 bytes, then 12 of other things, then two numbers of 12 bits.
        if (frame.Length < at + 24 || frame[at] == 0) return new(frames, null, 0);
        var both = (frame[at + 21] << 16) | (frame[at + 22] << 8) | frame[at + 23];
        return new(frames, both >> 12, both & 0xFFF);
    }
}
