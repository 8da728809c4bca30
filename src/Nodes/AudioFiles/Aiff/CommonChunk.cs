using System.Buffers.Binary;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Samples;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Aiff;

/// <summary>The <c>COMM</c> chunk, understood (Audio Interchange File Format 1.3 and AIFF-C, Apple 1989 and 1991, from memory).</summary>
/// <param name="LengthFrames">As told; 0 if it was never filled in.</param>
internal sealed record CommonChunk(StoredSamples Stored, int SampleRateHz, int Channels, long LengthFrames, string Words)
{
    /// <summary>Bytes of the chunk worth reading: what follows is the name of the way of storing, for people.</summary>
    public const int Bytes = 22;

    private const int PlainBytes = 18;

    /// <summary>Understands the chunk, or reports why not and returns null.</summary>
    /// <param name="chunk">Its content, cut after <see cref="Bytes"/>.</param>
    public static CommonChunk? Read(ReadOnlySpan<byte> chunk, bool isCompressed, StemReport report)
    {
        var needed = isCompressed ? Bytes : PlainBytes;
        if (chunk.Length < needed)
            return Refuse(DiagnosticCode.StemDamaged, Invariant($"its COMM chunk has {chunk.Length} bytes, but must have {needed}"), "Export it again");
        int channels = BinaryPrimitives.ReadInt16BigEndian(chunk);
        long frames = BinaryPrimitives.ReadUInt32BigEndian(chunk[2..]);
        int bits = BinaryPrimitives.ReadInt16BigEndian(chunk[6..]);
        if (RateHz(chunk.Slice(8, 10)) is not { } rateHz)
            return Refuse(DiagnosticCode.StemNotAudio, "its sample rate is no whole number of Hz", "Export it again at the song's rate");
        if (!Sound.IsWithinLimits(rateHz, channels, report)) return null;
        var way = isCompressed ? chunk.Slice(18, 4) : "NONE"u8;
        if (StoredAs(way, bits) is not var (stored, words))
        {
            return IsInteger(way)
                ? Refuse(bits == 0 ? DiagnosticCode.StemDamaged : DiagnosticCode.StemNotAudio, Invariant($"its samples are {bits}-bit PCM, but must have 1 to 32 bits"), "Export it again as 24-bit WAV")
                : Refuse(DiagnosticCode.StemNotAudio, $"its samples are compressed or unknown (AIFF-C type {FileKind.Name(way)}), but must be PCM, floating point, A-law or mu-law", "Export it again as 24-bit WAV");
        }

        return new(stored, (int)rateHz, channels, frames, words);

        CommonChunk? Refuse(DiagnosticCode code, string sentence, string remedy)
        {
            report(code, Severity.Error, sentence, remedy);
            return null;
        }
    }

    /// <summary>Integers in as many bytes as the bits need, valid bits at the top, or one of the kinds that AIFF-C names.</summary>
    private static (StoredSamples Stored, string Words)? StoredAs(ReadOnlySpan<byte> way, int bits)
    {
        if (Is(way, "fl32"u8) || Is(way, "FL32"u8)) return (StoredSamples.Float32Big, "32-bit float");
        if (Is(way, "fl64"u8) || Is(way, "FL64"u8)) return (StoredSamples.Float64Big, "64-bit float");
        if (Is(way, "alaw"u8) || Is(way, "ALAW"u8)) return (StoredSamples.ALaw, "8-bit A-law");
        if (Is(way, "ulaw"u8) || Is(way, "ULAW"u8)) return (StoredSamples.MuLaw, "8-bit mu-law");
        if (Is(way, "raw "u8)) return bits is >= 1 and <= 8 ? (StoredSamples.Unsigned8, Pcm()) : null;
        if (Is(way, "in24"u8)) return (StoredSamples.Pcm24Big, "24-bit PCM");
        if (Is(way, "in32"u8)) return (StoredSamples.Pcm32Big, "32-bit PCM");
        if (Is(way, "42ni"u8) || Is(way, "42n1"u8)) return (StoredSamples.Pcm24, "24-bit PCM");
        if (Is(way, "23ni"u8) || Is(way, "23n1"u8)) return (StoredSamples.Pcm32, "32-bit PCM");
        var isLittle = Is(way, "sowt"u8);
        if (!IsInteger(way)) return null;
        return bits switch
        {
            >= 1 and <= 8 => (StoredSamples.Signed8, Pcm()),
            > 8 and <= 16 => (isLittle ? StoredSamples.Pcm16 : StoredSamples.Pcm16Big, Pcm()),
            > 16 and <= 24 => (isLittle ? StoredSamples.Pcm24 : StoredSamples.Pcm24Big, Pcm()),
            > 24 and <= 32 => (isLittle ? StoredSamples.Pcm32 : StoredSamples.Pcm32Big, Pcm()),
            _ => null,
        };

        string Pcm() => Invariant($"{bits}-bit PCM");
    }

    private static bool IsInteger(ReadOnlySpan<byte> way) => Is(way, "NONE"u8) || Is(way, "twos"u8) || Is(way, "sowt"u8) || Is(way, "raw "u8);

    private static bool Is(ReadOnlySpan<byte> way, ReadOnlySpan<byte> name) => way.SequenceEqual(name);

    /// <summary>An 80-bit extended number (IEEE 754-1985, SANE): a sign and 15 bits of exponent, then 64 bits of which the highest counts 1. Null if it is no whole number.</summary>
    private static long? RateHz(ReadOnlySpan<byte> extended)
    {
        int exponent = BinaryPrimitives.ReadInt16BigEndian(extended);
        var mantissa = BinaryPrimitives.ReadUInt64BigEndian(extended[2..]);
        var shift = 16383 + 63 - exponent; // of the point, to the left
        if (exponent < 0 || mantissa == 0) return 0;
        if (shift is < 0 or > 63) return shift < 0 ? long.MaxValue : 0;
        return mantissa << (64 - shift) == 0 || shift == 0 ? (long)Math.Min(mantissa >> shift, long.MaxValue) : null;
    }
}
