using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Channels;
using RenderGraph.Nodes.AudioFiles.Decoding;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Vorbis;

/// <summary>Ogg Vorbis, decoded by NVorbis.</summary>
internal static class VorbisKind
{
    /// <summary>An Ogg file whose first packet is one of Vorbis; Opus and FLAC inside Ogg are others.</summary>
    public static AudioFileKind Kind { get; } = new(
        start => start.StartsWith("OggS"u8) && OggPages.FirstPacket(start).StartsWith("\u0001vorbis"u8), Open);

    private static DecodedReader? Open(StemFile file, StemRequest request, StemReport report)
    {
        if (OggPages.Read(file, report) is not { } pages) return null;
        if (pages.LengthFrames == 0) return Refuse("it holds no sound, not even one frame", "Export it again, or take the stem out of the graph");
        if (OggPackets.Read(file, 1) is not { } comments || !VorbisComments.AreWhole(comments)) return Refuse("its comments cannot be read, without which nothing can be decoded");
        if (OggPackets.Read(file, 2) is not { } setup) return Refuse("it has no Vorbis setup, without which nothing can be decoded");
        if (VorbisSetup.Fault(setup) is { } fault) return Refuse(fault);
        VorbisDecoder decoder;
        try
        {
            decoder = new(file);
        }
        catch (StemException failure)
        {
            return Refuse(failure.Sentence);
        }

        var sound = new Sound(decoder.SampleRateHz, decoder.Channels, pages.LengthFrames, "Ogg Vorbis");
        if (sound.Channels > 2)
        {
            // NVorbis 0.10.5 gives noise for six channels, without a word.
            decoder.Dispose();
            report(DiagnosticCode.StemNotAudio, Severity.Error, Invariant($"its Vorbis sound has {sound.Channels} channels, but only mono and stereo can be decoded"), "Export it as WAV or FLAC");
            return null;
        }

        if (Sound.IsWithinLimits(sound.SampleRateHz, sound.Channels, report) && ChannelMap.Of(sound, request.Channels, report) is { } map)
            return new(file, sound, map, decoder, request.GainDb);
        decoder.Dispose();
        return null;

        DecodedReader? Refuse(string sentence, string remedy = "Export it again")
        {
            report(DiagnosticCode.StemDamaged, Severity.Error, sentence, remedy);
            return null;
        }
    }
}
