using System.Buffers.Binary;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Vorbis;

/// <summary>An Ogg file walked from page to page (RFC 3533), each checked by its CRC-32: what is damaged is known before anything is decoded.</summary>
/// <param name="LengthFrames">By the last page that tells; of Vorbis, frames.</param>
internal sealed record OggPages(long LengthFrames)
{
    private const int HeadBytes = 27, MostPageBytes = HeadBytes + 255 + (255 * 255), SearchBytes = 64 * 1024;
    private const byte Continued = 1, First = 2, Last = 4;

    private static readonly uint[] CrcTable = [.. Enumerable.Range(0, 256).Select(one => Remainder((uint)one))];

    /// <summary>Walks through, or reports why not and returns null.</summary>
    public static OggPages? Read(StemFile file, StemReport report)
    {
        var bytes = new byte[MostPageBytes];
        var (serial, sequence, length, hasEnded) = (0u, 0u, 0L, false);
        var at = file.TagBytes;
        for (var count = 0; at < file.LengthBytes; count++)
        {
            var page = bytes.AsSpan(0, file.Read(bytes.AsSpan(0, (int)Math.Min(MostPageBytes, file.LengthBytes - at)), at));
            if (PageBytes(page) is not { } pageBytes)
            {
                var left = file.LengthBytes - at;
                if (hasEnded && left <= SearchBytes) break;
                if (page.StartsWith("OggS"u8) && left < MostPageBytes)
                {
                    report(DiagnosticCode.StemDamaged, Severity.Warning, Invariant($"it ends inside an Ogg page: the last {left:N0} bytes are left out"), "Copy or export it again");
                    hasEnded = true;
                    break;
                }

                return Damaged(Invariant($"where an Ogg page should begin, at byte {at:N0}, there is none"));
            }

            page = page[..pageBytes];
            var kind = page[5];
            if (Crc(page) != BinaryPrimitives.ReadUInt32LittleEndian(page[22..])) return Damaged(Invariant($"the Ogg page at byte {at:N0} does not match its checksum (CRC-32)"));
            var (pageSerial, pageSequence) = (BinaryPrimitives.ReadUInt32LittleEndian(page[14..]), BinaryPrimitives.ReadUInt32LittleEndian(page[18..]));
            if (count == 0) (serial, sequence) = (pageSerial, pageSequence);
            if (pageSerial != serial || (count > 0 && (kind & First) != 0))
            {
                report(DiagnosticCode.StemNotAudio, Severity.Error, "it holds more than one stream of sound, one after the other or at once, but a stem is one", "Export the part as a WAV file");
                return null;
            }

            if (pageSequence != sequence) return Damaged(Invariant($"at byte {at:N0}, Ogg page {sequence:N0} should follow, but it is number {pageSequence:N0}: some are missing or out of order"));
            sequence++;
            if (BinaryPrimitives.ReadInt64LittleEndian(page[6..]) is var frames and >= 0)
            {
                if (frames < length) return Damaged(Invariant($"its time runs backwards at byte {at:N0}"));
                length = frames;
            }

            hasEnded |= (kind & Last) != 0;
            at += pageBytes;
        }

        if (!hasEnded)
            report(DiagnosticCode.StemDamaged, Severity.Warning, Invariant($"its end is missing, as when a recording or a copy breaks off; all {length:N0} frames there are taken"), "Check that it ends where it should, or export it again");
        return new(length);

        OggPages? Damaged(string sentence)
        {
            report(DiagnosticCode.StemDamaged, Severity.Error, sentence, "Copy or export it again");
            return null;
        }
    }

    /// <summary>The checksum of a page, its own field taken as zero (section 6, field 7).</summary>
    public static uint Crc(ReadOnlySpan<byte> page)
    {
        var crc = 0u;
        for (var i = 0; i < page.Length; i++)
            crc = (crc << 8) ^ CrcTable[(crc >> 24) ^ (i is >= 22 and < 26 ? 0u : page[i])];
        return crc;
    }

    /// <summary>The bytes of the first packet that are in a file's first page.</summary>
    public static ReadOnlySpan<byte> FirstPacket(ReadOnlySpan<byte> start) =>
        start.Length > HeadBytes && start.Length > HeadBytes + start[26] ? start[(HeadBytes + start[26])..] : [];

    /// <summary>Of a whole page; null if it is none, or cut.</summary>
    private static int? PageBytes(ReadOnlySpan<byte> page)
    {
        if (page.Length < HeadBytes || !page.StartsWith("OggS"u8) || page[4] != 0 || page[5] > (Continued | First | Last)) return null;
        int segments = page[26], bytes = HeadBytes + segments;
        if (page.Length < bytes) return null;
        foreach (var segment in page.Slice(HeadBytes, segments))
            bytes += segment;
        return page.Length < bytes ? null : bytes;
    }

    private static uint Remainder(uint one)
    {
        var crc = one << 24;
        for (var bit = 0; bit < 8; bit++)
            crc = (crc & 0x80000000) != 0 ? (crc << 1) ^ 0x04C11DB7 : crc << 1;
        return crc;
    }
}
