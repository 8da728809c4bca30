using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Channels;
using RenderGraph.Nodes.AudioFiles.Decoding;
using RenderGraph.Nodes.AudioFiles.Samples;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Flac;

/// <summary>FLAC (RFC 9639), read by a decoder of our own.</summary>
internal static class FlacKind
{
    /// <summary>A stream of its own; inside Ogg it is another kind.</summary>
    public static AudioFileKind Kind { get; } = new(start => start.StartsWith("fLaC"u8), Open);

    private static DecodedReader? Open(StemFile file, StemRequest request, StemReport report)
    {
        if (FlacHeader.Read(file, file.TagBytes, report) is not { } header) return null;
        var info = header.Info;
        if (FlacEnd.Find(file, header) is not { } end)
        {
            report(DiagnosticCode.StemDamaged, Severity.Error, "it holds no sound, not even one whole block", "Export it again, or take the stem out of the graph");
            return null;
        }

        var length = info.LengthFrames == 0 ? end : Math.Min(end, info.LengthFrames);
        if (info.LengthFrames == 0)
            Warn(Invariant($"its length was never filled in, as when a recording breaks off; all {end:N0} frames to the end of the file are taken"), "Check that it ends where it should, or export it again");
        else if (end < info.LengthFrames)
            Warn(StoredLength.EndsEarly(info.LengthFrames, end, info.SampleRateHz), "Copy or export it again; without the rest, silence follows");
        else if (end > info.LengthFrames)
            Warn(Invariant($"its header tells of {info.LengthFrames:N0} frames, but {end:N0} are there; the first {info.LengthFrames:N0} are taken"), "Export it again if it does not end as it should");

        var sound = new Sound(info.SampleRateHz, info.Channels, length, Invariant($"{info.Bits}-bit FLAC")) { Speakers = header.Speakers };
        return ChannelMap.Of(sound, request.Channels, report) is { } map ? new(file, sound, map, new FlacDecoder(file, header, length), request.GainDb) : null;

        void Warn(string sentence, string remedy) => report(DiagnosticCode.StemDamaged, Severity.Warning, sentence, remedy);
    }
}
