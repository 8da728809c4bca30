using System.Buffers.Binary;
using RenderGraph.Nodes.AudioFiles.Flac;

namespace RenderGraph.Nodes.Tests.AudioFiles.Flac;

/// <summary>A FLAC file put together by hand (RFC 9639): mono, 16 bits, 48 kHz, blocks of 4,096 frames stored as they are. Only its checksums are the product's.</summary>
internal static class VerbatimFlac
{
    private const int BlockFrames = 4096;

    public static byte[] File(short[] samples, params (long Frame, long Offset)[] points)
    {
        List<byte> file = [.. "fLaC"u8, points.Length == 0 ? (byte)0x80 : (byte)0, 0, 0, 34, 0x10, 0, 0x10, 0, 0, 0, 0, 0, 0, 0];

        // 20 bits of rate, 3 of channels less one, 5 of bits less one, 36 of length.
        file.AddRange(Big64(48000UL << 44 | 0UL << 41 | 15UL << 36 | (uint)samples.Length));
        file.AddRange(new byte[16]);
        if (points.Length > 0)
        {
            file.AddRange([0x83, 0, 0, (byte)(points.Length * 18)]);
            foreach (var (frame, offset) in points)
                file.AddRange([.. Big64((ulong)frame), .. Big64((ulong)offset), 0x10, 0]);
        }

        for (var block = 0; block * BlockFrames < samples.Length; block++)
        {
            List<byte> bytes = [0xFF, 0xF8, 0xCA, 0x08, (byte)block]; // numbers below 128 are one byte
            bytes.Add(Crc.Of8([.. bytes]));
            bytes.Add(0x02); // a verbatim subframe
            foreach (var sample in samples.AsSpan(block * BlockFrames, BlockFrames))
                bytes.AddRange([(byte)(sample >> 8), (byte)sample]);
            var checksum = Crc.Of16([.. bytes], 0);
            file.AddRange([.. bytes, (byte)(checksum >> 8), (byte)checksum]);
        }

        return [.. file];
    }

    private static byte[] Big64(ulong value)
    {
        var bytes = new byte[8];
        BinaryPrimitives.WriteUInt64BigEndian(bytes, value);
        return bytes;
    }
}
