using System.Buffers.Binary;
using System.Text;
using RenderGraph.Graph.Contracts;

namespace RenderGraph.Songs;

/// <summary>Plain WAV files of 16 bits or of floating point, written without any of the program's own code: what judges it is not made by it.</summary>
internal static class PcmFile
{
    private const int HeaderBytes = 44;

    /// <summary>The bytes of a file; samples past full scale are held there.</summary>
    public static byte[] Bytes(Signal sound, int sampleRateHz)
    {
        var bytes = new byte[HeaderBytes + (2 * sound.Channels * sound.Frames)];
        WriteHeader(bytes, format: 1, sound.Channels, sampleRateHz, bytesEach: 2);
        for (var channel = 0; channel < sound.Channels; channel++)
        {
            var plane = sound[channel];
            for (var frame = 0; frame < plane.Length; frame++)
            {
                var step = (short)Math.Clamp(Math.Round(plane[frame] * 32768), short.MinValue, short.MaxValue);
                BinaryPrimitives.WriteInt16LittleEndian(bytes.AsSpan(HeaderBytes + (2 * ((frame * sound.Channels) + channel))), step);
            }
        }

        return bytes;
    }

    /// <summary>The same in floating point, with one sample in the middle that is not a number.</summary>
    public static byte[] BytesWithoutANumber(Signal sound, int sampleRateHz)
    {
        var bytes = new byte[HeaderBytes + (4 * sound.Frames)];
        WriteHeader(bytes, format: 3, channels: 1, sampleRateHz, bytesEach: 4);
        for (var frame = 0; frame < sound.Frames; frame++)
            BinaryPrimitives.WriteSingleLittleEndian(bytes.AsSpan(HeaderBytes + (4 * frame)), frame == sound.Frames / 2 ? float.NaN : (float)sound[0][frame]);
        return bytes;
    }

    private static void WriteHeader(Span<byte> bytes, short format, int channels, int sampleRateHz, int bytesEach)
    {
        Encoding.ASCII.GetBytes("RIFF", bytes);
        BinaryPrimitives.WriteInt32LittleEndian(bytes[4..], bytes.Length - 8);
        Encoding.ASCII.GetBytes("WAVEfmt ", bytes[8..]);
        BinaryPrimitives.WriteInt32LittleEndian(bytes[16..], 16);
        BinaryPrimitives.WriteInt16LittleEndian(bytes[20..], format);
        BinaryPrimitives.WriteInt16LittleEndian(bytes[22..], (short)channels);
        BinaryPrimitives.WriteInt32LittleEndian(bytes[24..], sampleRateHz);
        BinaryPrimitives.WriteInt32LittleEndian(bytes[28..], sampleRateHz * channels * bytesEach);
        BinaryPrimitives.WriteInt16LittleEndian(bytes[32..], (short)(channels * bytesEach));
        BinaryPrimitives.WriteInt16LittleEndian(bytes[34..], (short)(8 * bytesEach));
        Encoding.ASCII.GetBytes("data", bytes[36..]);
        BinaryPrimitives.WriteInt32LittleEndian(bytes[40..], bytes.Length - HeaderBytes);
    }
}
