using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles;

namespace RenderGraph.Nodes.Tests.AudioFiles;

/// <summary>A stem opened from disk, read to its end, and everything that was said about it: <c>RG304 warning: sentence. remedy.</c></summary>
internal sealed record Opened(StemFormat? Format, Signal Samples, IReadOnlyList<string> Said)
{
    public static Opened At(string path, double gainDb = 0, IReadOnlyList<int>? channels = null)
    {
        var said = new List<string>();
        using var reader = new DiskAudioFiles().OpenStem(new(path, gainDb, channels), (code, severity, sentence, remedy) =>
            said.Add($"{code.Text()}{(severity == Severity.Warning ? " warning" : "")}: {sentence}. {remedy}."));
        if (reader is null) return new(null, default, said);
        var samples = Signal.Allocate(reader.Format.Channels, (int)reader.Format.LengthFrames);
        reader.Read(0, samples);
        return new(reader.Format, samples, said);
    }

    /// <summary>A file of known channels, interleaved as it is stored: more than two are picked pair by pair.</summary>
    public static double[] Interleaved(string path, int channels)
    {
        var planes = new List<double[]>();
        for (var first = 1; first <= channels; first += 2)
        {
            int[] pair = first < channels ? [first, first + 1] : [first];
            var opened = At(path, channels: channels > 2 ? pair : null);
            if (opened.Format is null) throw new InvalidDataException(opened.Said[0]);
            for (var channel = 0; channel < pair.Length; channel++)
                planes.Add(opened.Samples[channel].ToArray());
        }

        return [.. Enumerable.Range(0, planes[0].Length * channels).Select(i => planes[i % channels][i / channels])];
    }
}
