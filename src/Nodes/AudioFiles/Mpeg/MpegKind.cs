using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Channels;
using RenderGraph.Nodes.AudioFiles.Decoding;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Mpeg;

/// <summary>MP3, decoded by NLayer.</summary>
internal static class MpegKind
{
    /// <summary>Frames by which every decoder of layer 3 is late: 528 and one (from memory; common practice of encoders' tags).</summary>
    private const int DecoderFrames = 529;

    /// <summary>Asked last: its mark is only eleven bits long. Layer 1 is not looked for, since text in UTF-16 begins like it.</summary>
    public static AudioFileKind Kind { get; } = new(start => MpegFrameHeader.Read(start) is { Layer: not 1 }, Open);

    private static DecodedReader? Open(StemFile file, StemRequest request, StemReport report)
    {
        if (MpegStream.Read(file, report) is not { } stream) return null;
        var header = stream.Header;
        if (!Sound.IsWithinLimits(header.SampleRateHz, header.Channels, report)) return null;
        var all = stream.Frames * header.Samples;
        var (skip, length) = (0L, all);
        if (stream.Tag?.DelayFrames is { } delay)
        {
            skip = delay + DecoderFrames;

            // A file that was cut off has lost the silence at its end.
            var isWhole = stream.Tag.Frames is not { } told || told <= stream.Frames;
            length = Math.Min(all - skip, all - delay - (isWhole ? stream.Tag.PaddingFrames : 0));
            if (length <= 0)
            {
                report(DiagnosticCode.StemDamaged, Severity.Error, "it holds no sound, not even one frame", "Export it again, or take the stem out of the graph");
                return null;
            }
        }
        else
        {
            report(DiagnosticCode.StemPlace, Severity.Warning,
                Invariant($"it does not tell how much silence its encoder put before the sound, so it starts late, by {(double)(576 + DecoderFrames) / header.SampleRateHz * 1000:0.0} ms if it is usual"),
                "Export the part as a WAV file, or move it by ear with startMs");
        }

        var sound = new Sound(header.SampleRateHz, header.Channels, length, "MP3");
        return ChannelMap.Of(sound, request.Channels, report) is { } map ? new(file, sound, map, new MpegDecoder(file, stream, skip), request.GainDb) : null;
    }
}
