using RenderGraph.Cli.Demo;
using RenderGraph.Testing;
using Snapshooter;
using Snapshooter.Xunit;
using Xunit;

namespace RenderGraph.Cli.Tests.Snapshots;

/// <summary>What the commands print, word for word.</summary>
[Collection(UsesTheDemo.Name)]
public sealed class OutputTests(DemoFixture demo)
{
    [Theory]
    [InlineData("nodes", "")]
    [InlineData("nodes-keyedCut", "keyedCut")]
    [InlineData("nodes-saturate", "saturate")]
    public void TellsWhatNodesThereAre(string name, string node)
    {
        var run = node.Length == 0 ? CommandRun.Of("nodes") : CommandRun.Of("nodes", node);
        Assert.Equal(0, run.ExitCode);
        Snapshot.Match(run.Out, SnapshotNameExtension.Create(name));
    }

    [Theory]
    [InlineData("text")]
    [InlineData("json")]
    [InlineData("mermaid")]
    public void ShowsThePlan(string format)
    {
        var run = CommandRun.Of("plan", demo.MainGraph, "--format", format).Without(demo.Folder);
        Assert.Equal(0, run.ExitCode);
        Snapshot.Match(run.Out, SnapshotNameExtension.Create(format));
    }

    [Fact]
    public void ChecksTheDemo()
    {
        var run = CommandRun.Of("check", demo.MainGraph).Without(demo.Folder);
        Assert.Equal(0, run.ExitCode);
        Snapshot.Match(run.Out);
    }

    [Fact]
    public void ReportsARender()
    {
        // In a process of its own, which stands in the folder: how wide a column is depends on the path.
        var run = ProgramProcess.Run(demo.Folder, "render", DemoFolder.MainGraph, "--out", "report");
        Directory.Delete(Path.Combine(demo.Folder, "report"), recursive: true);
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Snapshot.Match(run.Out);
    }

    [Fact]
    public void AnalyzesTheDemo()
    {
        var run = ProgramProcess.Run(demo.Folder, "analyze", DemoFolder.MainGraph);
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Snapshot.Match(run.Out);
    }

    [Fact]
    public void ProposesACleanUpOfTheDemosStems()
    {
        using var folder = new TempFolder();
        var stems = Directory.CreateDirectory(folder[Path.Combine("ferry", "stems")]).FullName;
        foreach (var stem in Directory.GetFiles(Path.Combine(demo.Folder, "stems")))
            File.Copy(stem, Path.Combine(stems, Path.GetFileName(stem)));
        var run = ProgramProcess.Run(folder["ferry"], "propose", "stems", "--out", "song.json");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Snapshot.Match(run.Out + "\n" + File.ReadAllText(folder[Path.Combine("ferry", "song.json")]));
    }

    [Fact]
    public void MeasuresFiles()
    {
        using var folder = new TempFolder();
        WaveFile.Write(folder["silent.wav"], Signals.Silence(48_000));
        WaveFile.Write(folder["short.wav"], WaveFile.Tone());
        File.Copy(demo.Graph(Path.Combine("stems", "keys.wav")), folder["keys.wav"]);
        File.Copy(demo.Graph(Path.Combine("stems", "kick.wav")), folder["kick.wav"]);

        // In a process of its own, which stands in the folder: how wide a column is depends on the path.
        var run = ProgramProcess.Run(folder.Path, "measure", "keys.wav", "kick.wav", "short.wav", "silent.wav");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Snapshot.Match(run.Out);
    }
}
