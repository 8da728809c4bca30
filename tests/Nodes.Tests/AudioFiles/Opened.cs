using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles;

namespace RenderGraph.Nodes.Tests.AudioFiles;

/// <summary>A stem opened from disk, read to its end, and everything that was said about it: <c>RG304 warning: sentence. remedy.</c></summary>
internal sealed record Opened(StemFormat? Format, Signal Samples, IReadOnlyList<string> Said)
{
    public static Opened At(string path, double gainDb = 0)
    {
        var said = new List<string>();
        using var reader = new DiskAudioFiles().OpenStem(new(path, gainDb), (code, severity, sentence, remedy) =>
            said.Add($"{code.Text()}{(severity == Severity.Warning ? " warning" : "")}: {sentence}. {remedy}."));
        if (reader is null) return new(null, default, said);
        var samples = Signal.Allocate(reader.Format.Channels, (int)reader.Format.LengthFrames);
        reader.Read(0, samples);
        return new(reader.Format, samples, said);
    }
}
