using System.Buffers.Binary;
using System.Text;

namespace RenderGraph.Nodes.Tests.AudioFiles.Wave;

/// <summary>WAV files put together by hand, byte by byte, so that each may be wrong in its own way.</summary>
internal static class WaveBytes
{
    private static readonly byte[] GuidTail = [0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71];

    /// <summary>A file of chunks; the size in its header is right unless given.</summary>
    public static byte[] File(byte[][] chunks, string riff = "RIFF", uint? size = null, string kind = "WAVE")
    {
        var body = chunks.SelectMany(chunk => chunk).ToArray();
        return [.. Encoding.ASCII.GetBytes(riff), .. Word32(size ?? (uint)(4 + body.Length)), .. Encoding.ASCII.GetBytes(kind), .. body];
    }

    /// <summary>A chunk; its size is right unless given, and it is padded unless told otherwise.</summary>
    public static byte[] Chunk(string name, byte[] content, uint? size = null, bool pad = true)
        => [.. Encoding.ASCII.GetBytes(name), .. Word32(size ?? (uint)content.Length), .. content, .. pad && content.Length % 2 == 1 ? new byte[1] : []];

    /// <summary>A fmt chunk; the frame's size is right unless given.</summary>
    public static byte[] Format(int tag = 1, int channels = 1, uint rateHz = 48000, int bits = 16, int? bytesPerFrame = null, byte[]? more = null)
        => Chunk("fmt ", FormatContent(tag, channels, rateHz, bits, bytesPerFrame, more));

    /// <summary>An extensible fmt chunk.</summary>
    public static byte[] Extensible(int tag = 1, int channels = 1, int bits = 16, int validBits = 16, byte[]? guid = null, uint mask = 0)
        => Format(0xFFFE, channels, 48000, bits, null, [.. Word16(22), .. Word16(validBits), .. Word32(mask), .. guid ?? [.. Word16(tag), .. GuidTail]]);

    /// <summary>A data chunk of 16-bit samples.</summary>
    public static byte[] Data(params short[] samples) => Chunk("data", SampleBytes(samples));

    public static byte[] SampleBytes(params short[] samples) => [.. samples.SelectMany(sample => Word16(sample))];

    public static byte[] Word16(int value)
    {
        var bytes = new byte[2];
        BinaryPrimitives.WriteUInt16LittleEndian(bytes, unchecked((ushort)value));
        return bytes;
    }

    public static byte[] Word32(uint value)
    {
        var bytes = new byte[4];
        BinaryPrimitives.WriteUInt32LittleEndian(bytes, value);
        return bytes;
    }

    public static byte[] Word64(ulong value)
    {
        var bytes = new byte[8];
        BinaryPrimitives.WriteUInt64LittleEndian(bytes, value);
        return bytes;
    }

    /// <summary>Size of the file, of data, frames, and a table of other chunks' sizes (EBU Tech 3306).</summary>
    public static byte[] WideSizes(ulong riff, ulong data, ulong frames, params (string Name, ulong Bytes)[] table)
        => Chunk("ds64", [.. Word64(riff), .. Word64(data), .. Word64(frames), .. Word32((uint)table.Length),
            .. table.SelectMany(entry => (byte[])[.. Encoding.ASCII.GetBytes(entry.Name), .. Word64(entry.Bytes)])]);

    private static byte[] FormatContent(int tag, int channels, uint rateHz, int bits, int? bytesPerFrame, byte[]? more)
    {
        var frame = bytesPerFrame ?? (channels * ((bits + 7) / 8));
        return [.. Word16(tag), .. Word16(channels), .. Word32(rateHz), .. Word32(rateHz * (uint)frame), .. Word16(frame), .. Word16(bits), .. more ?? []];
    }
}
