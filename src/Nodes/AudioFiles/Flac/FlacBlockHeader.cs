using System.Buffers.Binary;
using System.Numerics;

namespace RenderGraph.Nodes.AudioFiles.Flac;

/// <summary>The header of what FLAC calls a frame and we a block, since a frame here is one sample on every channel (RFC 9639, section 9.1).</summary>
/// <param name="FirstFrame">Its place in the file.</param>
/// <param name="ChannelCode">0 to 7: that many channels and one more; 8 left and side, 9 side and right, 10 mid and side.</param>
/// <param name="Bytes">Of the header, its checksum included.</param>
internal readonly record struct FlacBlockHeader(long FirstFrame, int Frames, int ChannelCode, int Bytes)
{
    /// <summary>No header is longer.</summary>
    public const int MostBytes = 16;

    /// <summary>Understands a header, or returns null: if it is none, is broken, or is not of a file like this.</summary>
    public static FlacBlockHeader? Read(ReadOnlySpan<byte> bytes, FlacStreamInfo info)
    {
        if (bytes.Length < 6 || bytes[0] != 0xFF || (bytes[1] & 0xFE) != 0xF8 || (bytes[3] & 1) != 0) return null;
        var isVariable = (bytes[1] & 1) != 0;
        int sizeCode = bytes[2] >> 4, rateCode = bytes[2] & 15, channelCode = bytes[3] >> 4, bitsCode = bytes[3] >> 1 & 7;
        if (ReadNumber(bytes[4..], out var number) is not (> 0 and var numberBytes) || (!isVariable && numberBytes > 6)) return null;
        var at = 4 + numberBytes;
        var extra = (sizeCode == 6 ? 1 : sizeCode == 7 ? 2 : 0) + (rateCode == 12 ? 1 : rateCode is 13 or 14 ? 2 : 0);
        if (bytes.Length < at + extra + 1) return null;
        var frames = sizeCode switch
        {
            1 => 192,
            >= 2 and <= 5 => 144 << sizeCode,
            6 => bytes[at] + 1,
            7 => BinaryPrimitives.ReadUInt16BigEndian(bytes[at..]) + 1,
            >= 8 => 1 << sizeCode,
            _ => 0,
        };
        if (sizeCode is 6 or 7) at += sizeCode - 5;
        var rateHz = rateCode switch
        {
            0 => info.SampleRateHz,
            1 => 88_200,
            2 => 176_400,
            3 => 192_000,
            4 => 8_000,
            5 => 16_000,
            6 => 22_050,
            7 => 24_000,
            8 => 32_000,
            9 => 44_100,
            10 => 48_000,
            11 => 96_000,
            12 => bytes[at] * 1000,
            13 => BinaryPrimitives.ReadUInt16BigEndian(bytes[at..]),
            14 => BinaryPrimitives.ReadUInt16BigEndian(bytes[at..]) * 10,
            _ => 0,
        };
        if (rateCode >= 12) at += rateCode == 12 ? 1 : rateCode is 13 or 14 ? 2 : 0;
        var bits = bitsCode switch { 0 => info.Bits, 1 => 8, 2 => 12, 4 => 16, 5 => 20, 6 => 24, 7 => 32, _ => 0 };
        var channels = channelCode < 8 ? channelCode + 1 : channelCode <= 10 ? 2 : 0;
        if (frames == 0 || frames > info.MostBlockFrames || rateHz != info.SampleRateHz || bits != info.Bits || channels != info.Channels) return null;
        if (Crc.Of8(bytes[..at]) != bytes[at]) return null;
        return new(isVariable ? number : number * info.MostBlockFrames, frames, channelCode, at + 1);
    }

    /// <summary>A number of up to 36 bits as UTF-8 would write it; returns its bytes, or 0.</summary>
    private static int ReadNumber(ReadOnlySpan<byte> bytes, out long number)
    {
        var ones = BitOperations.LeadingZeroCount((uint)(byte)~bytes[0]) - 24;
        number = bytes[0];
        if (ones == 0) return 1;
        if (ones is 1 or 8 || bytes.Length < ones) return 0;
        number &= 0x7F >> ones;
        for (var i = 1; i < ones; i++)
        {
            if ((bytes[i] & 0xC0) != 0x80) return 0;
            number = (number << 6) | (uint)(bytes[i] & 0x3F);
        }

        return ones;
    }
}
