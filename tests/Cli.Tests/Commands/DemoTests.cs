using RenderGraph.Cli.Demo;
using Snapshooter.Xunit;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

[Collection(UsesTheDemo.Name)]
public sealed class DemoTests(DemoFixture demo)
{
    /// <summary>Without a folder named, and seen from where a person stands.</summary>
    [Fact]
    public void TellsWhatChangedAndWritesWhatItSays()
    {
        using var folder = new TempFolder();
        var run = ProgramProcess.Run(folder.Path, "demo");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Snapshot.Match(run.Out);

        string[] expected =
        [
            .. DemoFolder.Graphs, "mix.wav", "sub-monitor.wav", .. DemoSong.Stems.Select(stem => Path.Combine("stems", stem.Name + ".wav")),
        ];
        Assert.Equal(expected.Select(name => Path.Combine(DemoFolder.DefaultName, name)).Order(StringComparer.Ordinal), folder.Names);
    }

    [Fact]
    public void EveryGraphItWritesIsInOrder()
    {
        foreach (var graph in DemoFolder.Graphs)
        {
            var run = CommandRun.Of("check", demo.Graph(graph));
            Assert.Equal((0, ""), (run.ExitCode, run.Error));
        }
    }

    [Fact]
    public void RunAgainItGivesTheSameBytes()
    {
        using var folder = new TempFolder();
        Assert.Equal(0, CommandRun.Of("demo", "--out", folder.Path).ExitCode);
        var first = folder.Names.ToDictionary(name => name, name => File.ReadAllBytes(folder[name]));
        Assert.Equal(0, CommandRun.Of("demo", "--out", folder.Path).ExitCode);
        Assert.Equal(first.Keys, folder.Names);
        Assert.All(first, file => Assert.Equal(file.Value, File.ReadAllBytes(folder[file.Key])));
    }

    [Fact]
    public void RefusesAFileInItsFoldersPlace()
    {
        using var folder = new TempFolder();
        folder.Write("demo", "mine");
        Refuses(folder, "demo: RG403: this is a file, but the demo needs a folder. Choose another name with --out.", "demo");
    }

    [Fact]
    public void RefusesAFileInAFoldersPlaceAboveIt()
    {
        using var folder = new TempFolder();
        folder.Write("mine", "mine");
        var deeper = Path.Combine("mine", "demo");
        Refuses(folder, $"{deeper}: RG403: the demo's folder would lie in mine, which is a file. Choose another folder with --out.", deeper);
    }

    [Fact]
    public void RefusesAFolderWithOtherFiles()
    {
        using var folder = new TempFolder();
        Directory.CreateDirectory(folder["demo"]);
        folder.Write(Path.Combine("demo", "mine.txt"), "mine");
        Refuses(folder, "demo: RG403: this folder holds files that are not the demo's. Choose a new or empty folder with --out.", "demo");
    }

    [Fact]
    public void RefusesToOverwriteAGraphThatWasChanged()
    {
        using var folder = new TempFolder();
        Directory.CreateDirectory(folder["demo"]);
        folder.Write(Path.Combine("demo", DemoFolder.MainGraph), "{}");
        var graph = Path.Combine("demo", DemoFolder.MainGraph);
        Refuses(
            folder, $"{graph}: RG403: this graph is not as the demo wrote it, and would be overwritten. Render it with rendergraph render, or give it another name first.", "demo");
        Assert.Equal("{}", File.ReadAllText(folder[graph]));
    }

    private static void Refuses(TempFolder folder, string message, string name)
    {
        var before = folder.Names;
        var run = CommandRun.Of("demo", "--out", folder[name]).Without(folder.Path);
        Assert.Equal((4, message + "\n", ""), (run.ExitCode, run.Error, run.Out));
        Assert.Equal(before, folder.Names);
    }
}
