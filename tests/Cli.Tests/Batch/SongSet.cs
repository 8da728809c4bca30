using RenderGraph.Testing;

namespace RenderGraph.Cli.Tests.Batch;

/// <summary>A folder of short songs and a recipe for them.</summary>
public sealed class SongSet : IDisposable
{
    private const string Recipe = """
        {
          "format": 1, "tempoBpm": 120,
          "stems": { "kick": { "file": "kick.wav" }, "bass": { "file": "bass.wav" } },
          "anchor": { "stem": "kick", "frequencyHz": 50 },
          "nodes": { "room": { "type": "keyedCut", "in": "bass", "frequencyHz": "anchor", "depthDb": 6 }, "mix": { "type": "mix", "in": ["kick", "room"], "gainDb": -6 } },
          "outputs": { "mix": { "in": "mix", "file": "mix.wav" } },
          "expect": [{ "measure": "samplePeakDbfs", "of": "mix", "atMost": -5 }]
        }
        """;

    private readonly TempFolder _folder = new();

    public SongSet(params string[] songs)
    {
        _folder.Write("recipe.json", Recipe);
        foreach (var song in songs)
            Add(song);
    }

    public string this[string name] => _folder[name];

    internal CommandRun Batch(params string[] options) => CommandRun.Of([.. (string[])["batch", _folder["recipe.json"], _folder["songs/*"], "--out", _folder["out"]], .. options]).Without(_folder.Path);

    internal CommandRun Run(params string[] arguments) => CommandRun.Of(arguments).Without(_folder.Path);

    public void Add(string song, double amplitude = 0.5)
    {
        Directory.CreateDirectory(_folder[$"songs/{song}"]);
        WaveFile.Write(_folder[$"songs/{song}/kick.wav"], PlayedSong.Kick(50, amplitude));
        WaveFile.Write(_folder[$"songs/{song}/bass.wav"], PlayedSong.Bass(amplitude / 2, 52, 62));
    }

    /// <summary>Everything in the folder of the results, by its path, as text to be compared.</summary>
    public SortedDictionary<string, string> Results(string folder = "out") => new(
        Directory.EnumerateFiles(_folder[folder], "*", SearchOption.AllDirectories)
            .ToDictionary(file => Path.GetRelativePath(_folder[folder], file), file => Convert.ToHexString(System.IO.Hashing.XxHash128.Hash(File.ReadAllBytes(file)))), StringComparer.Ordinal);

    public void Dispose() => _folder.Dispose();
}
