using System.Text.Json;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

[Collection(UsesTheDemo.Name)]
public sealed class StemsTests(DemoFixture demo)
{
    private const double BoundDbfs = -120;

    /// <summary>The files as they are on disk: each rounded to single precision.</summary>
    [Fact]
    public void TheFilesOfTheDemosStemsAddUpToItsMix()
    {
        using var folder = new TempFolder();
        var graph = WithStems(demo, "take-it-apart.json");

        var run = CommandRun.Of("render", graph, "--out", folder.Path, "--json");

        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        using var report = JsonDocument.Parse(run.Out);
        var files = report.RootElement.GetProperty("outputs").EnumerateArray().ToDictionary(output => output.GetProperty("name").GetString()!, output => output.GetProperty("file").GetString()!);
        var parts = files.Where(file => file.Key.StartsWith("parts.", StringComparison.Ordinal)).ToDictionary(file => file.Key[6..], file => file.Value);
        Assert.Equal(["beater", "grit", "hats", "keys", "kick", "snare", "sub", "voice"], parts.Keys.Order(StringComparer.Ordinal));
        Assert.Equal(
            "The files of output \"parts\" add up to \"mix\", the gains of its mixes counted in. What comes behind it is in none of them: lows.",
            report.RootElement.GetProperty("rules").GetProperty("stems").GetString());

        var left = WaveFile.Read(files["exact"]);
        foreach (var (part, file) in parts)
        {
            Assert.Equal(folder[Path.Combine("parts", part + ".wav")], file);
            var signal = WaveFile.Read(file);
            Assert.Equal((left.Channels, left.Frames), (signal.Channels, signal.Frames));
            for (var channel = 0; channel < left.Channels; channel++)
            {
                for (var frame = 0; frame < left.Frames; frame++)
                    left[channel][frame] -= signal[channel][frame];
            }
        }

        var worst = Enumerable.Range(0, left.Channels).Max(channel => left[channel].ToArray().Max(Math.Abs));
        Assert.InRange(20 * Math.Log10(worst), -250, BoundDbfs);
    }

    [Fact]
    public void APartOfTheSongIsThatPartOfEachFileAndLeavesTheWholeAlone()
    {
        using var folder = new TempFolder();
        var run = CommandRun.Of("render", WithStems(demo, "take-it-apart-later.json"), "--out", folder.Path, "--from", "2.25", "--to", "3");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.Equal(8, Directory.GetFiles(folder["parts"], "*.0m2.25s-0m3s.wav").Length);
    }

    [Fact]
    public void CheckNamesEveryFile()
    {
        var run = CommandRun.Of("check", WithStems(demo, "take-it-apart-first.json"));
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.Contains(Path.Combine("parts", "beater.wav"), run.Out, StringComparison.Ordinal);
    }

    private static string WithStems(DemoFixture demo, string name)
    {
        var graph = demo.Graph(name);
        File.WriteAllText(graph, File.ReadAllText(demo.MainGraph).Replace(
            "\"outputs\": {",
            "\"outputs\": { \"exact\": { \"in\": \"mix\", \"file\": \"exact.wav\", \"encoding\": \"float32\" }, \"parts\": { \"kind\": \"stems\", \"in\": \"lows\", \"file\": \"parts/*.wav\" },",
            StringComparison.Ordinal));
        return graph;
    }
}
