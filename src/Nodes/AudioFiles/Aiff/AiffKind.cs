using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles.Channels;
using RenderGraph.Nodes.AudioFiles.Chunks;
using RenderGraph.Nodes.AudioFiles.Samples;

namespace RenderGraph.Nodes.AudioFiles.Aiff;

/// <summary>AIFF and AIFF-C.</summary>
internal static class AiffKind
{
    /// <summary>Both: a FORM of kind AIFF or AIFC.</summary>
    public static AudioFileKind Kind { get; } = new(
        start => start.Length >= 12 && start.StartsWith("FORM"u8) && (start.Slice(8, 4).SequenceEqual("AIFF"u8) || start.Slice(8, 4).SequenceEqual("AIFC"u8)),
        Open);

    private static StoredReader? Open(StemFile file, StemRequest request, StemReport report)
    {
        var isCompressed = file.Bytes(11, 1)[0] == 'C';
        return AiffHeader.Read(FourLetterWalk.Of(file, isBigEndian: true), isCompressed, report) is { } stored
            && ChannelMap.Of(stored.Sound, request.Channels, report) is { } map
                ? new StoredReader(file, stored, map, request.GainDb)
                : null;
    }
}
