using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles.Channels;
using RenderGraph.Nodes.AudioFiles.Chunks;
using RenderGraph.Nodes.AudioFiles.Samples;

namespace RenderGraph.Nodes.AudioFiles.Wave;

/// <summary>The WAV family: WAV (RIFF), its big-endian form RIFX, RF64 and BW64 for more than 4 GB, Wave64.</summary>
internal static class WaveKinds
{
    /// <summary>RIFF and RIFX.</summary>
    public static AudioFileKind Plain { get; } = new(
        start => (start.StartsWith("RIFF"u8) || start.StartsWith("RIFX"u8)) && IsWave(start),
        (file, request, report) =>
        {
            var isBigEndian = file.Bytes(3, 1)[0] == 'X';
            return Open(file, FourLetterWalk.Of(file, isBigEndian), isBigEndian, request, report);
        });

    /// <summary>RF64 and BW64.</summary>
    public static AudioFileKind Wide { get; } = new(
        start => (start.StartsWith("RF64"u8) || start.StartsWith("BW64"u8)) && IsWave(start),
        (file, request, report) => Open(file, new WideRiffWalk(file), isBigEndian: false, request, report));

    /// <summary>Wave64.</summary>
    public static AudioFileKind Wave64 { get; } = new(
        start => start.StartsWith(Wave64Walk.RiffGuid) && start.Length >= 40 && start.Slice(24, 4).SequenceEqual("wave"u8) && start.Slice(28, 12).SequenceEqual(Wave64Walk.GuidTail),
        (file, request, report) => Open(file, new Wave64Walk(file), isBigEndian: false, request, report));

    private static bool IsWave(ReadOnlySpan<byte> start) => start.Length >= 12 && start.Slice(8, 4).SequenceEqual("WAVE"u8);

    private static StoredReader? Open(StemFile file, ChunkWalk walk, bool isBigEndian, StemRequest request, StemReport report) =>
        WaveHeader.Read(walk, isBigEndian, report) is { } stored && ChannelMap.Of(stored.Sound, request.Channels, report) is { } map
            ? new StoredReader(file, stored, map, request.GainDb)
            : null;
}
