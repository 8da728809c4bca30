using System.Buffers.Binary;
using System.Text;
using RenderGraph.Nodes.AudioFiles.Vorbis;

namespace RenderGraph.Nodes.AudioFiles;

/// <summary>Tells by its first bytes what a file is that is not read. Its name is never asked.</summary>
internal static class FileKind
{
    /// <summary>Bytes worth looking at.</summary>
    public const int Bytes = 512;

    private static readonly UTF8Encoding StrictUtf8 = new(false, true);

    /// <summary>For the end of "it is ..."; null if nobody knows.</summary>
    public static string? Describe(ReadOnlySpan<byte> start)
    {
        if ((start.StartsWith("RIFF"u8) || start.StartsWith("RIFX"u8)) && start.Length >= 12) return $"a RIFF file of kind {Name(start.Slice(8, 4))}, not WAVE";
        if (start.StartsWith("FORM"u8) && start.Length >= 12) return $"an IFF file of kind {Name(start.Slice(8, 4))}, not AIFF";
        if (start.StartsWith("OggS"u8))
        {
            var packet = OggPages.FirstPacket(start);
            return packet.StartsWith("OpusHead"u8) ? "an Opus file" : packet.StartsWith("\u007FFLAC"u8) ? "FLAC inside an Ogg file" : "an Ogg file without Vorbis";
        }

        if (start.StartsWith("ID3"u8)) return "an MP3 file's tag without the sound";
        if (start.StartsWith("MThd"u8)) return "a MIDI file: notes, not sound";
        if (start.StartsWith("caff"u8)) return "a CAF file";
        if (start.StartsWith(".snd"u8)) return "an AU file";
        if (start.StartsWith("wvpk"u8)) return "a WavPack file";
        if (At(start, 4, "ftyp"u8)) return "an MP4 file";
        if (start.StartsWith((ReadOnlySpan<byte>)[0x1A, 0x45, 0xDF, 0xA3])) return "a Matroska file";
        if (start.StartsWith((ReadOnlySpan<byte>)[(byte)'P', (byte)'K', 3, 4])) return "a ZIP archive";
        if (start.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xFE]) || start.StartsWith((ReadOnlySpan<byte>)[0xFE, 0xFF])) return "a text file";
        if (start.Length >= 2 && start[0] == 0xFF && (start[1] & 0xF6) == 0xF0) return "an AAC stream";
        if (!start.IsEmpty && start.IndexOfAnyExcept((byte)0) < 0) return "nothing but zeros, as a failed copy leaves";
        return IsText(start) ? "a text file" : null;
    }

    /// <summary>Four bytes as a person can read them: <c>"LIST"</c>, or hexadecimal if they are no letters.</summary>
    public static string Name(ReadOnlySpan<byte> four) => IsPlausible(four) ? $"\"{Encoding.ASCII.GetString(four)}\"" : $"0x{Convert.ToHexString(four)}";

    /// <summary>Whether four bytes can be the name of a chunk: printable ASCII.</summary>
    public static bool IsPlausible(ReadOnlySpan<byte> four) => four.IndexOfAnyExceptInRange((byte)0x20, (byte)0x7E) < 0;

    private static bool At(ReadOnlySpan<byte> start, int offset, ReadOnlySpan<byte> mark)
        => start.Length >= offset + mark.Length && start.Slice(offset, mark.Length).SequenceEqual(mark);

    private static bool IsText(ReadOnlySpan<byte> start)
    {
        foreach (var one in start)
        {
            if (one < 0x20 && one is not ((byte)'\t' or (byte)'\n' or (byte)'\r')) return false;
        }

        // The last letter may be cut: up to three of its bytes are left out.
        for (var cut = 0; cut <= 3 && cut < start.Length; cut++)
        {
            try
            {
                _ = StrictUtf8.GetCharCount(start[..^cut]);
                return true;
            }
            catch (DecoderFallbackException)
            {
                // One byte less, then.
            }
        }

        return false;
    }
}
