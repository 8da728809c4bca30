using System.Buffers.Binary;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Samples;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Wave;

/// <summary>The <c>fmt </c> chunk, understood. The table beside <see cref="WaveHeader"/> says what is taken and what is refused.</summary>
/// <param name="Stored">How samples lie in the file.</param>
/// <param name="SampleRateHz">8,000 to 384,000.</param>
/// <param name="Channels">1 or 2.</param>
/// <param name="Words">For a table: <c>24-bit PCM</c>.</param>
internal sealed record WaveFormatChunk(StoredSamples Stored, int SampleRateHz, int Channels, string Words)
{
    /// <summary>Bytes of the chunk worth reading; longer ones hold nothing that matters here.</summary>
    public const int Bytes = 40;

    private const int LowestRateHz = 8_000, HighestRateHz = 384_000;
    private const int PcmTag = 1, FloatTag = 3, ExtensibleTag = 0xFFFE;

    /// <summary>Bytes from one frame to the next.</summary>
    public int BytesPerFrame => Channels * BytesPerSample(Stored);

    /// <summary>The end of an extensible format's GUID: the tag stands before it. From RFC 2361 and the registry of WAVE formats.</summary>
    private static ReadOnlySpan<byte> GuidTail => [0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71];

    /// <summary>Understands the chunk, or reports why not and returns null.</summary>
    /// <param name="chunk">Its content, cut after <see cref="Bytes"/>.</param>
    public static WaveFormatChunk? Read(ReadOnlySpan<byte> chunk, StemReport report)
    {
        if (chunk.Length < 16)
        {
            return Damaged(report, Invariant($"its fmt chunk has {chunk.Length} bytes, but the kind of samples is told in at least 16"));
        }

        int tag = Word(chunk, 0), channels = Word(chunk, 2), bytesPerFrame = Word(chunk, 12), bits = Word(chunk, 14);
        var rateHz = BinaryPrimitives.ReadUInt32LittleEndian(chunk[4..]);
        var validBits = bits;
        if (tag == ExtensibleTag)
        {
            if (chunk.Length < 40)
                return Damaged(report, Invariant($"its extensible fmt chunk has {chunk.Length} bytes, but must have 40"));
            if (!chunk.Slice(26, 14).SequenceEqual(GuidTail))
            {
                return Refuse(report, DiagnosticCode.StemNotAudio,
                    $"its samples are of an unregistered kind ({new Guid(chunk.Slice(24, 16))}), but must be PCM or floating point", "Export it again as 24-bit WAV");
            }

            tag = Word(chunk, 24);
            validBits = Word(chunk, 18);
        }

        if (tag is not (PcmTag or FloatTag))
        {
            return Refuse(report, DiagnosticCode.StemNotAudio,
                Invariant($"its samples are {CodecName(tag)} (tag 0x{tag:X4}), but must be PCM or floating point"), "Export it again as 24-bit WAV");
        }

        if (channels == 0) return Damaged(report, "its header says that it has no channels");
        if (channels > 2)
        {
            return Refuse(report, DiagnosticCode.StemNotAudio, Invariant($"it has {channels} channels, but a stem is mono or stereo"),
                "Export it as stereo, or each channel or pair as a stem of its own");
        }

        if (rateHz is < LowestRateHz or > HighestRateHz)
        {
            return Refuse(report, DiagnosticCode.StemNotAudio,
                Invariant($"its sample rate is {rateHz:N0} Hz, but must lie between {LowestRateHz:N0} and {HighestRateHz:N0}"),
                "Export it again at the song's rate");
        }

        return ReadSamples(tag, (int)rateHz, channels, bytesPerFrame, bits, validBits, report);
    }

    private static WaveFormatChunk? ReadSamples(
        int tag, int rateHz, int channels, int bytesPerFrame, int bits, int validBits, StemReport report)
    {
        var kind = tag == FloatTag ? "floating point" : "PCM";
        var supported = tag == FloatTag ? bits is 32 or 64 : bits is >= 1 and <= 32;
        if (!supported)
        {
            var wanted = tag == FloatTag ? "32 or 64" : "1 to 32";
            return Refuse(report, bits == 0 ? DiagnosticCode.StemDamaged : DiagnosticCode.StemNotAudio,
                Invariant($"its samples are {bits}-bit {kind}, but must have {wanted} bits"), "Export it again as 24-bit WAV");
        }

        var bytesPerSample = (bits + 7) / 8;
        if (bytesPerFrame != channels * bytesPerSample)
        {
            return Damaged(report, Invariant(
                $"its header contradicts itself: {Count(channels)} of {bits} bits make {channels * bytesPerSample} bytes a frame, but it says {bytesPerFrame}"));
        }

        if (validBits > bits)
        {
            report(DiagnosticCode.StemDamaged, Severity.Warning,
                Invariant($"its header says that {validBits} of {bits} bits are used; all {bits} are read"), "Nothing need be done if it sounds right");
            validBits = bits;
        }

        if (validBits == 0 || tag == FloatTag) validBits = bits;
        var stored = (tag, bytesPerSample) switch
        {
            (FloatTag, 4) => StoredSamples.Float32,
            (FloatTag, _) => StoredSamples.Float64,
            (_, 1) => StoredSamples.Unsigned8,
            (_, 2) => StoredSamples.Pcm16,
            (_, 3) => StoredSamples.Pcm24,
            _ => StoredSamples.Pcm32,
        };
        var words = tag == FloatTag ? Invariant($"{bits}-bit float")
            : validBits == bits ? Invariant($"{bits}-bit PCM")
            : Invariant($"{validBits}-bit PCM in {bits} bits");
        return new(stored, rateHz, channels, words);
    }

    private static int BytesPerSample(StoredSamples stored) => stored switch
    {
        StoredSamples.Unsigned8 => 1,
        StoredSamples.Pcm16 => 2,
        StoredSamples.Pcm24 => 3,
        StoredSamples.Float64 => 8,
        _ => 4,
    };

    private static string Count(int channels) => channels == 1 ? "1 channel" : Invariant($"{channels} channels");

    /// <summary>What is usual; from the registry of WAVE formats (RFC 2361).</summary>
    private static string CodecName(int tag) => tag switch
    {
        0x0002 or 0x0011 => "compressed by ADPCM",
        0x0006 => "A-law",
        0x0007 => "mu-law",
        0x0031 => "compressed by GSM 6.10",
        0x0050 => "compressed by MPEG layer 2",
        0x0055 => "compressed by MP3",
        0x00FF => "compressed by AAC",
        0xF1AC => "compressed by FLAC",
        _ => "of an unknown kind",
    };

    private static int Word(ReadOnlySpan<byte> chunk, int offset) => BinaryPrimitives.ReadUInt16LittleEndian(chunk[offset..]);

    private static WaveFormatChunk? Damaged(StemReport report, string sentence)
        => Refuse(report, DiagnosticCode.StemDamaged, sentence, "Export it again");

    private static WaveFormatChunk? Refuse(StemReport report, DiagnosticCode code, string sentence, string remedy)
    {
        report(code, Severity.Error, sentence, remedy);
        return null;
    }
}
