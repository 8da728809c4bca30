using System.Buffers.Binary;
using System.Globalization;
using System.Text;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Channels;
using RenderGraph.Nodes.AudioFiles.Vorbis;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Flac;

/// <summary>Everything before the first frame (RFC 9639, section 8).</summary>
/// <param name="SeekPoints">In the order written, without placeholders.</param>
/// <param name="FirstBlockOffset">Where the first frame begins.</param>
internal sealed record FlacHeader(FlacStreamInfo Info, IReadOnlyList<FlacSeekPoint> SeekPoints, IReadOnlyList<Speaker>? Speakers, long FirstBlockOffset)
{
    private const int MostBlocks = 4096, MostCommentBytes = 1 << 20, MostSeekPointBytes = 1 << 20;
    private const string MaskKey = "WAVEFORMATEXTENSIBLE_CHANNEL_MASK=";

    /// <summary>Reads and judges, or reports why not and returns null.</summary>
    /// <param name="offset">Where <c>fLaC</c> stands.</param>
    public static FlacHeader? Read(StemFile file, long offset, StemReport report)
    {
        FlacStreamInfo? info = null;
        List<FlacSeekPoint> points = [];
        IReadOnlyList<Speaker>? speakers = null;
        var at = offset + 4;
        var isLast = false;
        for (var count = 0; !isLast; count++)
        {
            var head = file.Bytes(at, 4);
            if (head.Length < 4 || count == MostBlocks) return Damaged(Invariant($"its header does not end: after {count:N0} blocks of metadata no sound has come"));
            isLast = (head[0] & 0x80) != 0;
            var type = head[0] & 0x7F;
            var bytes = (int)(BinaryPrimitives.ReadUInt32BigEndian(head) & 0xFFFFFF);
            at += 4;
            if (bytes > file.LengthBytes - at) return Damaged(Invariant($"its header does not end: block {count + 1} claims {bytes:N0} bytes, but the file ends {file.LengthBytes - at:N0} bytes on"));
            if ((type == 0) != (count == 0)) return Damaged("its header must begin with one STREAMINFO block, and does not");
            switch (type)
            {
                case 0 when bytes != FlacStreamInfo.Bytes:
                    return Damaged(Invariant($"its STREAMINFO block has {bytes:N0} bytes, but must have {FlacStreamInfo.Bytes}"));
                case 0:
                    info = FlacStreamInfo.Read(file.Bytes(at, bytes));
                    break;
                case 3:
                    points.AddRange(ReadSeekPoints(file.Bytes(at, Math.Min(bytes, MostSeekPointBytes))));
                    break;
                case 4:
                    speakers ??= ReadMask(file.Bytes(at, Math.Min(bytes, MostCommentBytes))) is { } mask ? SpeakerOrder.OfMask(mask, info!.Channels) : null;
                    break;
                case 127:
                    return Damaged("its header holds a block of type 127, which is forbidden");
            }

            at += bytes;
        }

        if (!Sound.IsWithinLimits(info!.SampleRateHz, info.Channels, report)) return null;
        if (info.Bits < 4) return Damaged(Invariant($"its samples are {info.Bits}-bit, but must have 4 to 32 bits"));
        if (info.MostBlockFrames < FlacStreamInfo.LeastBlockFrames) return Damaged(Invariant($"its blocks are to have at most {info.MostBlockFrames} frames, but the least is {FlacStreamInfo.LeastBlockFrames}"));
        return new(info, points, speakers ?? SpeakerOrder.OfFlac(info.Channels), at);

        FlacHeader? Damaged(string sentence)
        {
            report(DiagnosticCode.StemDamaged, Severity.Error, sentence, "Export it again");
            return null;
        }
    }

    private static IEnumerable<FlacSeekPoint> ReadSeekPoints(byte[] block)
    {
        for (var at = 0; at + 18 <= block.Length; at += 18)
        {
            var frame = BinaryPrimitives.ReadUInt64BigEndian(block.AsSpan(at));
            var offset = BinaryPrimitives.ReadUInt64BigEndian(block.AsSpan(at + 8));
            if (frame < long.MaxValue && offset < long.MaxValue) yield return new((long)frame, (long)offset);
        }
    }

    /// <summary>Which speakers there are, if a comment says so (RFC 9639, section 8.6.2): otherwise the number of channels does.</summary>
    private static uint? ReadMask(ReadOnlySpan<byte> comments)
    {
        if (!VorbisComments.Skip(ref comments) || comments.Length < 4) return null;
        var count = BinaryPrimitives.ReadUInt32LittleEndian(comments);
        comments = comments[4..];
        for (var i = 0u; i < count; i++)
        {
            var here = comments;
            if (!VorbisComments.Skip(ref comments)) return null;
            var text = Encoding.UTF8.GetString(here[4..^comments.Length]);
            if (!text.StartsWith(MaskKey, StringComparison.OrdinalIgnoreCase)) continue;
            var value = text[MaskKey.Length..].Trim();
            return value.StartsWith("0x", StringComparison.OrdinalIgnoreCase) && uint.TryParse(value.AsSpan(2), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out var mask) ? mask : null;
        }

        return null;
    }
}
