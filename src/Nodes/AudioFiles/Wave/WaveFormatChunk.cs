using System.Buffers.Binary;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Channels;
using RenderGraph.Nodes.AudioFiles.Samples;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Wave;

/// <summary>The <c>fmt </c> chunk, understood. README.md says what is taken and what is refused.</summary>
/// <param name="Stored">How samples lie in the file.</param>
/// <param name="SampleRateHz">8,000 to 384,000.</param>
/// <param name="Channels">1 to 32.</param>
/// <param name="Words">For a table: <c>24-bit PCM</c>.</param>
/// <param name="Speakers">What each channel is for, or null.</param>
internal sealed record WaveFormatChunk(StoredSamples Stored, int SampleRateHz, int Channels, string Words, IReadOnlyList<Speaker>? Speakers)
{
    /// <summary>Bytes of the chunk worth reading; longer ones hold nothing that matters here.</summary>
    public const int Bytes = 40;

    private const int PcmTag = 1, FloatTag = 3, ALawTag = 6, MuLawTag = 7, ExtensibleTag = 0xFFFE;

    /// <summary>The end of an extensible format's GUID: the tag stands before it. From RFC 2361 and the registry of WAVE formats.</summary>
    private static ReadOnlySpan<byte> GuidTail => [0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71];

    /// <summary>Understands the chunk, or reports why not and returns null.</summary>
    /// <param name="chunk">Its content, cut after <see cref="Bytes"/>.</param>
    /// <param name="isBigEndian">As in RIFX.</param>
    public static WaveFormatChunk? Read(ReadOnlySpan<byte> chunk, bool isBigEndian, StemReport report)
    {
        if (chunk.Length < 16)
        {
            return Damaged(report, Invariant($"its fmt chunk has {chunk.Length} bytes, but the kind of samples is told in at least 16"));
        }

        int tag = Word(chunk, 0, isBigEndian), channels = Word(chunk, 2, isBigEndian), bytesPerFrame = Word(chunk, 12, isBigEndian), bits = Word(chunk, 14, isBigEndian);
        var rateHz = isBigEndian ? BinaryPrimitives.ReadUInt32BigEndian(chunk[4..]) : BinaryPrimitives.ReadUInt32LittleEndian(chunk[4..]);
        var validBits = bits;
        IReadOnlyList<Speaker>? speakers = null;
        if (tag == ExtensibleTag)
        {
            if (chunk.Length < 40)
                return Damaged(report, Invariant($"its extensible fmt chunk has {chunk.Length} bytes, but must have 40"));
            if (!chunk.Slice(26, 14).SequenceEqual(GuidTail))
            {
                return Refuse(report, DiagnosticCode.StemNotAudio,
                    $"its samples are of an unregistered kind ({new Guid(chunk.Slice(24, 16))}), but must be PCM, floating point, A-law or mu-law", "Export it again as 24-bit WAV");
            }

            tag = Word(chunk, 24, isBigEndian);
            validBits = Word(chunk, 18, isBigEndian);
            speakers = SpeakerOrder.OfMask(BinaryPrimitives.ReadUInt32LittleEndian(chunk[20..]), channels);
        }

        if (tag is not (PcmTag or FloatTag or ALawTag or MuLawTag))
        {
            return Refuse(report, DiagnosticCode.StemNotAudio,
                Invariant($"its samples are {CodecName(tag)} (tag 0x{tag:X4}), but must be PCM, floating point, A-law or mu-law"), "Export it again as 24-bit WAV");
        }

        if (!Sound.IsWithinLimits(rateHz, channels, report) || ReadSamples(tag, channels, bytesPerFrame, bits, validBits, report) is not { } samples) return null;
        return new(isBigEndian ? BigEndian(samples.Stored) : samples.Stored, (int)rateHz, channels, samples.Words, speakers);
    }

    private static (StoredSamples Stored, string Words)? ReadSamples(int tag, int channels, int bytesPerFrame, int bits, int validBits, StemReport report)
    {
        var (kind, wanted, isSupported) = tag switch
        {
            FloatTag => ("floating point", "32 or 64", bits is 32 or 64),
            ALawTag => ("A-law", "8", bits == 8),
            MuLawTag => ("mu-law", "8", bits == 8),
            _ => ("PCM", "1 to 32", bits is >= 1 and <= 32),
        };
        if (!isSupported)
        {
            Refuse(report, bits == 0 ? DiagnosticCode.StemDamaged : DiagnosticCode.StemNotAudio,
                Invariant($"its samples are {bits}-bit {kind}, but must have {wanted} bits"), "Export it again as 24-bit WAV");
            return null;
        }

        var bytesPerSample = (bits + 7) / 8;
        if (bytesPerFrame != channels * bytesPerSample)
        {
            Damaged(report, Invariant(
                $"its header contradicts itself: {Count(channels)} of {bits} bits make {channels * bytesPerSample} bytes a frame, but it says {bytesPerFrame}"));
            return null;
        }

        if (validBits > bits)
        {
            report(DiagnosticCode.StemDamaged, Severity.Warning,
                Invariant($"its header says that {validBits} of {bits} bits are used; all {bits} are read"), "Nothing need be done if it sounds right");
            validBits = bits;
        }

        if (validBits == 0 || tag != PcmTag) validBits = bits;
        var stored = (tag, bytesPerSample) switch
        {
            (FloatTag, 4) => StoredSamples.Float32,
            (FloatTag, _) => StoredSamples.Float64,
            (ALawTag, _) => StoredSamples.ALaw,
            (MuLawTag, _) => StoredSamples.MuLaw,
            (_, 1) => StoredSamples.Unsigned8,
            (_, 2) => StoredSamples.Pcm16,
            (_, 3) => StoredSamples.Pcm24,
            _ => StoredSamples.Pcm32,
        };
        var words = tag == FloatTag ? Invariant($"{bits}-bit float")
            : tag != PcmTag ? Invariant($"{bits}-bit {kind}")
            : validBits == bits ? Invariant($"{bits}-bit PCM")
            : Invariant($"{validBits}-bit PCM in {bits} bits");
        return (stored, words);
    }

    private static StoredSamples BigEndian(StoredSamples stored) => stored switch
    {
        StoredSamples.Pcm16 => StoredSamples.Pcm16Big,
        StoredSamples.Pcm24 => StoredSamples.Pcm24Big,
        StoredSamples.Pcm32 => StoredSamples.Pcm32Big,
        StoredSamples.Float32 => StoredSamples.Float32Big,
        StoredSamples.Float64 => StoredSamples.Float64Big,
        _ => stored,
    };

    private static string Count(int channels) => channels == 1 ? "1 channel" : Invariant($"{channels} channels");

    /// <summary>What is usual; from the registry of WAVE formats (RFC 2361).</summary>
    private static string CodecName(int tag) => tag switch
    {
        0x0002 or 0x0011 => "compressed by ADPCM",
        0x0031 => "compressed by GSM 6.10",
        0x0050 => "compressed by MPEG layer 2",
        0x0055 => "compressed by MP3",
        0x00FF => "compressed by AAC",
        0xF1AC => "compressed by FLAC",
        _ => "of an unknown kind",
    };

    private static int Word(ReadOnlySpan<byte> chunk, int offset, bool isBigEndian) =>
        isBigEndian ? BinaryPrimitives.ReadUInt16BigEndian(chunk[offset..]) : BinaryPrimitives.ReadUInt16LittleEndian(chunk[offset..]);

    private static WaveFormatChunk? Damaged(StemReport report, string sentence)
        => Refuse(report, DiagnosticCode.StemDamaged, sentence, "Export it again");

    private static WaveFormatChunk? Refuse(StemReport report, DiagnosticCode code, string sentence, string remedy)
    {
        report(code, Severity.Error, sentence, remedy);
        return null;
    }
}
