using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Mpeg;

/// <summary>An MP3 file walked from frame to frame, so that its length is counted and not believed. Nothing is decoded.</summary>
/// <param name="Header">Of the first frame.</param>
/// <param name="FirstOffset">Where the first frame with sound begins.</param>
/// <param name="EndOffset">Where the last whole one ends.</param>
/// <param name="Frames">Frames with sound.</param>
/// <param name="Tag">What the encoder said, or null.</param>
internal sealed record MpegStream(MpegFrameHeader Header, long FirstOffset, long EndOffset, long Frames, MpegInfoTag? Tag)
{
    /// <summary>Bytes of rubbish that may stand before the first frame, or of tags behind the last.</summary>
    private const int SearchBytes = 64 * 1024, ReadBytes = 64 * 1024;

    /// <summary>Walks through, or reports why not and returns null.</summary>
    public static MpegStream? Read(StemFile file, StemReport report)
    {
        var window = new Window(file);
        if (FirstFrame(window, file) is not var (start, first))
            return Refuse("no two frames of MP3 follow each other in it");
        if (first.Layer != 3)
        {
            report(DiagnosticCode.StemNotAudio, Severity.Error, Invariant($"it is compressed by MPEG layer {first.Layer}, but of MPEG only layer 3 (MP3) is read"), "Export the part as a WAV file");
            return null;
        }

        var tag = MpegInfoTag.Read(file.Bytes(start, first.FrameBytes), first);
        var at = tag is null ? start : start + first.FrameBytes;
        var firstOffset = at;
        var frames = 0L;
        while (MpegFrameHeader.Read(window.At(at)) is { BitRateKbps: > 0 } header && header.GoesWith(first) && at + header.FrameBytes <= file.LengthBytes)
        {
            at += header.FrameBytes;
            frames++;
        }

        if (frames == 0) return Refuse("it holds no sound, not even one frame", "Export it again, or take the stem out of the graph");
        var seconds = (double)frames * first.Samples / first.SampleRateHz;
        var left = file.LengthBytes - at;
        var isCut = left > 0 && MpegFrameHeader.Read(window.At(at)) is { } last && last.GoesWith(first);
        if (!isCut && left > SearchBytes && !IsTag(window.At(at)))
            return Refuse(Invariant($"its sound breaks off at byte {at:N0} ({seconds:0.000} s): what follows for {left:N0} bytes is no MP3 frame of its kind"), "Copy or export it again");
        if (tag?.Frames is { } told && told > frames)
            Warn(Invariant($"it ends early: its header tells of {told:N0} MP3 frames, {frames:N0} are there, {(double)(told - frames) * first.Samples / first.SampleRateHz:0.000} s are missing"), "Copy or export it again; without the rest, silence follows");
        else if (isCut)
            Warn(Invariant($"it ends inside an MP3 frame: the last {left:N0} bytes are left out"), "Export it again if it does not end as it should");
        return new(first, firstOffset, at, frames, tag);

        void Warn(string sentence, string remedy) => report(DiagnosticCode.StemDamaged, Severity.Warning, sentence, remedy);

        MpegStream? Refuse(string sentence, string remedy = "Export it again")
        {
            report(DiagnosticCode.StemDamaged, Severity.Error, sentence, remedy);
            return null;
        }
    }

    /// <summary>Whether a file begins with a frame, or with rubbish and then frames, is only known by looking at where the next one must be.</summary>
    private static (long Offset, MpegFrameHeader Header)? FirstFrame(Window window, StemFile file)
    {
        for (var at = file.TagBytes; at < Math.Min(file.TagBytes + SearchBytes, file.LengthBytes); at++)
        {
            var bytes = window.At(at);
            if (MpegFrameHeader.Read(bytes) is not { } header) continue;
            if (header.Layer != 3 && at == file.TagBytes) return (at, header);
            if (header is not { Layer: 3, BitRateKbps: > 0 }) continue;
            var next = at + header.FrameBytes;
            if (next == file.LengthBytes || (MpegFrameHeader.Read(window.At(next)) is { BitRateKbps: > 0 } second && second.GoesWith(header))) return (at, header);
        }

        return null;
    }

    /// <summary>ID3v1, APE and Lyrics3 tags; zeros are none.</summary>
    private static bool IsTag(ReadOnlySpan<byte> bytes) => bytes.StartsWith("TAG"u8) || bytes.StartsWith("APET"u8) || bytes.StartsWith("LYRI"u8) || bytes.StartsWith("ID3"u8);

    /// <summary>Four bytes anywhere, read in larger pieces.</summary>
    private sealed class Window(StemFile file)
    {
        private byte[] _bytes = [];
        private long _offset;

        public ReadOnlySpan<byte> At(long offset)
        {
            if (offset < _offset || offset + MpegFrameHeader.Bytes > _offset + _bytes.Length) (_offset, _bytes) = (offset, file.Bytes(offset, ReadBytes));
            return _bytes.AsSpan((int)(offset - _offset), (int)Math.Min(MpegFrameHeader.Bytes, _offset + _bytes.Length - offset));
        }
    }
}
