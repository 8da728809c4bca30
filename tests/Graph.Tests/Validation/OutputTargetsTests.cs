using System.Diagnostics;
using System.Text;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes.AudioFiles;
using Xunit;

namespace RenderGraph.Graph.Tests.Validation;

public sealed class OutputTargetsTests : IDisposable
{
    private readonly string _root = Directory.CreateTempSubdirectory("rendergraph-").FullName;

    public OutputTargetsTests()
    {
        Directory.CreateDirectory(In("song/stems"));
        File.WriteAllText(In("song/stems/kick.wav"), "stem");
        File.WriteAllText(In("song/song.wav"), "the graph, oddly named");
    }

    public void Dispose() => Directory.Delete(_root, recursive: true);

    [Fact]
    public void LiesUnderTheFolderOfTheOutputs()
    {
        Assert.Empty(Faults("out", "deep/mix.wav", out var targets));
        Assert.Equal(In("out/deep/mix.wav"), targets["mix"]);
    }

    [Fact]
    public void MayHaveBracketsAndAnyLetters() => Assert.Empty(Faults("out", "Mix [final] (2) – Übergang 低音.WAV", out _));

    [Fact]
    public void MustNotBeTheGraph() =>
        Assert.Contains("RG401: output \"mix\" (song.wav) would be written over the graph itself.", Assert.Single(Faults("song", "song.wav", out _)), StringComparison.Ordinal);

    [Fact]
    public void MustNotBeAStemThroughALinkOfTheFile()
    {
        File.CreateSymbolicLink(In("song/mix.wav"), In("song/stems/kick.wav"));
        Assert.Contains("would be written over stem \"kick\" (stems/kick.wav): a link leads from one to the other", Assert.Single(Faults("song", "mix.wav", out _)), StringComparison.Ordinal);
    }

    [Fact]
    public void MustNotBeAStemThroughALinkOfAFolder()
    {
        Directory.CreateSymbolicLink(In("out"), "song/stems");
        Directory.CreateSymbolicLink(In("song/stems/back"), "../stems");
        Assert.Contains("a link leads from one to the other", Assert.Single(Faults("out", "kick.wav", out _)), StringComparison.Ordinal);
        Assert.Contains("a link leads from one to the other", Assert.Single(Faults("out/back/back", "kick.wav", out _)), StringComparison.Ordinal);
    }

    [Fact]
    public void MustNotBeWhereAStemThatIsALinkLeads()
    {
        File.Move(In("song/stems/kick.wav"), In("song/mix.wav"));
        File.CreateSymbolicLink(In("song/stems/kick.wav"), "../mix.wav");
        Assert.Contains("a link leads from one to the other", Assert.Single(Faults("song", "mix.wav", out _)), StringComparison.Ordinal);
    }

    [Fact]
    public void ALinkInARingIsNoEndlessLoop()
    {
        File.CreateSymbolicLink(In("song/a"), In("song/b"));
        File.CreateSymbolicLink(In("song/b"), In("song/a"));
        Faults("song", "a/mix.wav", out _);
    }

    [Fact]
    public void WritingOverAHardLinkLeavesTheStemAlone()
    {
        // What OutputTargets relies on where it does not look for hard links.
        var link = In("song/mix.wav");
        using (var ln = Process.Start("ln", [In("song/stems/kick.wav"), link]))
            ln.WaitForExit();
        Assert.Equal("stem", File.ReadAllText(link));
        Assert.Empty(Faults("song", "mix.wav", out var targets));
        using (var writer = new DiskAudioFiles().CreateOutput(new("mix", targets["mix"], 48000, 1, SampleEncoding.Pcm16, 0, 10)))
        {
            writer.Write(Signal.Allocate(1, 10));
            writer.Finish();
            writer.Commit();
        }

        Assert.Equal("stem", File.ReadAllText(In("song/stems/kick.wav")));
        Assert.StartsWith("RIFF", File.ReadAllText(link), StringComparison.Ordinal);
    }

    [Fact]
    public void MustNotBeAFolder()
    {
        Directory.CreateDirectory(In("out/mix.wav"));
        Assert.Contains("RG404: output \"mix\" (mix.wav): a folder has that name.", Assert.Single(Faults("out", "mix.wav", out _)), StringComparison.Ordinal);
    }

    [Fact]
    public void MustNotLieInAFile() =>
        Assert.Contains("kick.wav is a file, so nothing can lie in it", Assert.Single(Faults("song", "stems/kick.wav/mix.wav", out _)), StringComparison.Ordinal);

    [Fact]
    public void TheFolderItselfMustNotBeAFile() =>
        Assert.StartsWith($"g.json: RG403: the folder for the outputs, {In("song/song.wav")}, is a file.", Assert.Single(Faults("song/song.wav", "mix.wav", out _)), StringComparison.Ordinal);

    [Theory]
    [InlineData("caf\u00e9.wav", "cafe\u0301.wav", true)]
    [InlineData("cafe\u0301.wav", "CAF\u00c9.wav", true)]
    [InlineData("caf\u00e9.wav", "CAF\u00c9.wav", true)]
    [InlineData("caf\u00e9.wav", "caf\u00e8.wav", false)]
    [InlineData("cafe.wav", "cafe\u0301.wav", false)]
    [InlineData("stems/kick.wav", "kick.wav", false)]
    public void ComposedAndPlainAccentsAreOneNameAndSoAreCapitals(string stem, string file, bool isOne) =>
        Assert.Equal(isOne ? 1 : 0, Faults("song", file, out _, stem).Length);

    private string In(string path) => Path.Combine(_root, path);

    private string[] Faults(string outFolder, string file, out IReadOnlyDictionary<string, string> targets, string stem = "stems/kick.wav")
    {
        var diagnostics = new DiagnosticList();
        var text = $$"""{ "format": 1, "stems": { "kick": { "file": "{{stem}}" } }, "outputs": { "mix": { "in": "kick", "file": "{{file}}" } } }""";
        var document = GraphReader.Read("g.json", Encoding.UTF8.GetBytes(text), StubNodes.Catalog, diagnostics)!;
        targets = OutputTargets.Resolve(document, GraphPlace.OfFile(In("song/song.wav")), In(outFolder), diagnostics);
        return [.. diagnostics.InOrder.Select(found => found.ToString())];
    }
}
