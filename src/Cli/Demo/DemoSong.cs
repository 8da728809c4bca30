using RenderGraph.Graph.Contracts;

namespace RenderGraph.Cli.Demo;

/// <summary>The demo's stems. They are the same bytes on every machine.</summary>
internal static class DemoSong
{
    private const int BlockFrames = 8192;

    /// <summary>What there is, in the order of the graph.</summary>
    public static IReadOnlyList<DemoStem> Stems { get; } =
    [
        new("kick", 1, DemoDrums.Kick), new("beater", 1, DemoDrums.Beater), new("sub", 1, DemoTones.Sub), new("grit", 1, DemoTones.Grit),
        new("keys", 2, DemoTones.Keys), new("snare", 2, DemoDrums.Snare), new("hats", 2, DemoDrums.Hats), new("voice", 1, DemoTones.Voice),
    ];

    /// <summary>Plays every stem and writes it as <c>NAME.wav</c> into <paramref name="folder"/>, which must be there.</summary>
    /// <exception cref="OutputException">The folder cannot be written to.</exception>
    public static void WriteStems(string folder, IAudioFiles files, CancellationToken cancellation)
    {
        foreach (var stem in Stems)
        {
            cancellation.ThrowIfCancellationRequested();
            var whole = Signal.Allocate(stem.Channels, DemoScore.LengthFrames);
            stem.Play(whole);
            using var writer = files.CreateOutput(new OutputFormat(
                stem.Name, Path.Combine(folder, stem.Name + ".wav"), DemoScore.SampleRateHz, stem.Channels, SampleEncoding.Pcm24, 0, DemoScore.LengthFrames));
            for (var start = 0; start < DemoScore.LengthFrames; start += BlockFrames)
                writer.Write(whole.Slice(start, Math.Min(BlockFrames, DemoScore.LengthFrames - start)));
            writer.Finish();
            writer.Commit();
        }
    }
}

/// <summary>One stem of the demo.</summary>
/// <param name="Play">Adds its notes to a silent signal.</param>
internal sealed record DemoStem(string Name, int Channels, Action<Signal> Play);
