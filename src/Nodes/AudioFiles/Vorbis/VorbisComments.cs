using System.Buffers.Binary;

namespace RenderGraph.Nodes.AudioFiles.Vorbis;

/// <summary>The texts of a Vorbis stream (Vorbis I specification, section 5), which nothing here reads: but the decoder does, and believes their lengths.</summary>
internal static class VorbisComments
{
    /// <summary>Whether the second packet holds as much as it tells of.</summary>
    public static bool AreWhole(ReadOnlySpan<byte> packet)
    {
        if (!packet.StartsWith("\u0003vorbis"u8)) return false;
        packet = packet[7..];
        if (!Skip(ref packet) || packet.Length < 4) return false;
        var count = BinaryPrimitives.ReadUInt32LittleEndian(packet);
        packet = packet[4..];
        if (count > packet.Length / 4) return false;
        for (var i = 0u; i < count; i++)
        {
            if (!Skip(ref packet)) return false;
        }

        return true;
    }

    /// <summary>Passes over a text with its length before it.</summary>
    public static bool Skip(ref ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length < 4) return false;
        var length = BinaryPrimitives.ReadUInt32LittleEndian(bytes);
        if (length > bytes.Length - 4) return false;
        bytes = bytes[(4 + (int)length)..];
        return true;
    }
}
