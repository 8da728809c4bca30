using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles;
using Xunit;

namespace RenderGraph.Nodes.Tests;

/// <summary>A session that nobody here made, with the truth about it: tests/Reference/copper-lantern, its source beside it.</summary>
public static class CopperLantern
{
    private static readonly string Folder = Path.Combine(AppContext.BaseDirectory, "Reference", "copper-lantern");
    private static readonly JsonDocument Truth = JsonDocument.Parse(File.ReadAllText(Path.Combine(Folder, "ground_truth.json")));

    /// <summary>Where the kick's spectrum peaks once its first 80 ms are over.</summary>
    public static double KickSettledHz => Truth.RootElement.GetProperty("kick_dominant_hz").GetProperty("after_first_80_ms").GetDouble();

    /// <summary>A stem, read from its file.</summary>
    public static (Signal Signal, int SampleRateHz) Read(string stem)
    {
        using var reader = new DiskAudioFiles().OpenStem(
            new(Path.Combine(Folder, stem + ".wav")), (DiagnosticCode _, Severity _, string sentence, string _) => Assert.Fail(sentence))!;
        var signal = Signal.Allocate(reader.Format.Channels, (int)reader.Format.LengthFrames);
        reader.Read(0, signal);
        return (signal, reader.Format.SampleRateHz);
    }

    /// <summary>When a drum was struck, how hard, and whether it was a ghost.</summary>
    public static IReadOnlyList<(int Frame, double Velocity, bool IsGhost)> Hits(string drum) =>
    [
        .. Truth.RootElement.GetProperty(drum + "_hits").EnumerateArray()
            .Select(hit => (hit.GetProperty("onset_sample").GetInt32(), hit.GetProperty("velocity").GetDouble(), hit.GetProperty("ghost").GetBoolean())),
    ];
}
