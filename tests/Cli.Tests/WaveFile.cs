using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;

namespace RenderGraph.Cli.Tests;

/// <summary>Audio files for tests, read and written as the program does.</summary>
internal static class WaveFile
{
    /// <summary>All frames of a file; anything to report about it is a failure.</summary>
    public static Signal Read(string path)
    {
        using var reader = new DiskAudioFiles().OpenStem(new(path), (_, _, sentence, _) => throw new InvalidDataException(sentence))!;
        var signal = Signal.Allocate(reader.Format.Channels, (int)reader.Format.LengthFrames);
        reader.Read(0, signal);
        return signal;
    }

    /// <summary>A mono file at 48 kHz, its samples over and over.</summary>
    public static void Write(string path, Signal signal, int times = 1, SampleEncoding encoding = SampleEncoding.Pcm16)
    {
        using var writer = new DiskAudioFiles().CreateOutput(new("test", path, 48_000, signal.Channels, encoding, 0, (long)signal.Frames * times));
        for (var time = 0; time < times; time++)
            writer.Write(signal);
        writer.Finish();
        writer.Commit();
    }

    /// <summary>A short tone, loud but not over full scale.</summary>
    public static Signal Tone(int frames = 4800)
    {
        var signal = Signal.Allocate(1, frames);
        for (var frame = 0; frame < frames; frame++)
            signal[0][frame] = 0.5 * Math.Sin(2 * Math.PI * 52 * frame / 48_000);
        return signal;
    }
}
