using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;

namespace RenderGraph.Nodes.Tests.AudioFiles.Writing;

/// <summary>Writes a signal to disk and commits it.</summary>
internal static class Written
{
    public static OutputFormat Format(string path, SampleEncoding encoding, Signal signal, string name = "mix", long firstFrame = 0)
        => new(name, path, 48000, signal.Channels, encoding, firstFrame, signal.Frames);

    /// <param name="blockFrames">Frames of each block; the last may be shorter.</param>
    public static OutputSummary To(string path, SampleEncoding encoding, Signal signal, string name = "mix", long firstFrame = 0, int blockFrames = 4096)
    {
        using var writer = new DiskAudioFiles().CreateOutput(Format(path, encoding, signal, name, firstFrame));
        for (var start = 0; start < signal.Frames; start += blockFrames)
            writer.Write(signal.Slice(start, Math.Min(blockFrames, signal.Frames - start)));
        var summary = writer.Finish();
        writer.Commit();
        return summary;
    }
}
