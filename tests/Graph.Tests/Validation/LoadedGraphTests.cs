using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes.Measures;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Validation;

public sealed class LoadedGraphTests : IDisposable
{
    private static readonly AnchorMeasuring Anchor = new(CancellationToken.None);
    private readonly string _folder = Directory.CreateTempSubdirectory("rendergraph-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void LoadsAGoodGraphWithoutAWord()
    {
        var diagnostics = new DiagnosticList();
        using var loaded = LoadedGraph.Load(Write("""
            {
              "format": 1, "title": "Harbour Lights", "tempoBpm": 96,
              "stems": { "kick": { "file": "kick.wav" }, "bass": { "file": "bass.wav", "gainDb": -1.5, "muted": true, "startMs": 10 } },
              "anchor": { "stem": "kick", "frequencyHz": 55 },
              "nodes": {
                "room": { "type": "chain", "in": "bass", "steps": [ { "type": "tone", "frequencyHz": "anchor" }, { "type": "keyed", "depthDb": 3 } ] },
                "mix": { "type": "sum", "in": [ "kick", { "from": "room", "gainDb": -1 } ] },
              },
              "outputs": { "mix": { "in": "mix", "file": "mix.wav", "encoding": "float32", "channels": "mono", "tailMs": 500 } }, // done
            }
            """), null, null, StubNodes.Catalog, Files(), Anchor, diagnostics);
        Assert.Empty(diagnostics.InOrder.Select(found => found.ToString()));
        Assert.NotNull(loaded);
        Assert.Equal(48000, loaded.SampleRateHz);
        Assert.Equal(Path.Combine(_folder, "mix.wav"), loaded.Targets["mix"]);
        var room = loaded.Document.Nodes[0];
        Assert.Equal(["room.1", "room.2"], room.Steps.Select(step => step.Id));
        Assert.Equal("kick", room.Steps[1].Inputs[1]!.From);
        Assert.Equal(-1, loaded.Document.Nodes[1].Inputs[1]!.GainDb);
        Assert.Equal(SampleEncoding.Float32, loaded.Document.Outputs[0].Encoding);
        Assert.NotNull(room.Steps[0].CreateNode(loaded.Document, loaded.SampleRateHz));
    }

    [Fact]
    public void SaysThatTheFileIsNotThereAndWhichOneIsNear()
    {
        Write("{}");
        Assert.Equal($"{_folder}/sogn.json: RG306: the graph's file is not there. Did you mean {_folder}/song.json?", Assert.Single(Faults(Path.Combine(_folder, "sogn.json"))));
        Assert.Equal(
            "no/such/graph.json: RG306: the graph's file is not there. Check the path; it counts from the folder that the command runs in.",
            Assert.Single(Faults("no/such/graph.json")));
    }

    [Fact]
    public void SaysThatAFolderIsNoGraph() =>
        Assert.Equal($"{_folder}: RG306: this is a folder, but a graph is a file. Name the graph's file in it.", Assert.Single(Faults(_folder)));

    [Fact]
    public void ReadsNoFileThatIsFarTooLong()
    {
        var path = Write("{}");
        using (var file = File.OpenWrite(path))
            file.SetLength(1L << 40);
        Assert.StartsWith($"{path}: RG108: the file is longer than 8 MiB", Assert.Single(Faults(path)), StringComparison.Ordinal);
    }

    [Fact]
    public void TellsTheFaultsOfAllStagesTogetherAndClosesTheStems()
    {
        var files = Files();
        var faults = Faults(Write("""
            { "format": 1,
              "stems": { "kick": { "file": "kick.wav" }, "bass": { "file": "bas.wav" } },
              "nodes": { "a": { "type": "tone", "in": "kik", "frequencyHz": 1e6 } },
              "outputs": { "o": { "in": "a", "file": "kick.wav" } } }
            """), files: files);
        Assert.Equal(["RG301", "RG202", "RG203", "RG401"], faults.Select(fault => fault.Split(": ")[1]));
        Assert.Equal(0, files.OpenStems);
    }

    [Fact]
    public void AStemThatIsMissingGetsTheNearestFileOfItsFolder()
    {
        Directory.CreateDirectory(Path.Combine(_folder, "stems"));
        File.WriteAllText(Path.Combine(_folder, "stems", "Kick.wav"), "");
        var faults = Faults(Write("""{ "format": 1, "stems": { "kick": { "file": "stems/kick.wav" } }, "outputs": { "o": { "in": "kick", "file": "o.wav" } } }"""));
        Assert.EndsWith("RG301: stem \"kick\" (stems/kick.wav): there is no such file. Did you mean \"stems/Kick.wav\"?", Assert.Single(faults), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("kick")]
    [InlineData("room")]
    [InlineData("room.1")]
    public void RendersOnePointOfTheGraphOnly(string only)
    {
        var diagnostics = new DiagnosticList();
        using var loaded = LoadedGraph.Load(Write(Chained), Path.Combine(_folder, "listen"), only, StubNodes.Catalog, Files(), Anchor, diagnostics);
        Assert.Empty(diagnostics.InOrder);
        Assert.Equal(Path.Combine(_folder, "listen", only + ".only.wav"), Assert.Single(loaded!.Targets).Value);
        Assert.Equal(only, Assert.Single(loaded.Document.Outputs).From.Value);
    }

    [Theory]
    [InlineData("rom", "Did you mean \"room\"?")]
    [InlineData("room.3", "Did you mean \"room.1\"?")]
    [InlineData("everything", "That is an output; what it writes is \"room\", so ask for that.")]
    [InlineData("violoncello", "Ask for one of kick, room, room.1.")]
    public void SaysWhichPointsThereAre(string only, string remedy) =>
        Assert.EndsWith($"song.json: RG202: only \"{only}\" shall be rendered, but no stem, node or step has that name. {remedy}", Assert.Single(Faults(Write(Chained), only)), StringComparison.Ordinal);

    [Fact]
    public void OnePointRenderedBesideItsStemDoesNotOverwriteIt()
    {
        var diagnostics = new DiagnosticList();
        using var loaded = LoadedGraph.Load(Write(Chained), null, "kick", StubNodes.Catalog, Files(), Anchor, diagnostics);
        Assert.Empty(diagnostics.InOrder);
        Assert.Equal(Path.Combine(_folder, "kick.only.wav"), Assert.Single(loaded!.Targets).Value);
    }

    private const string Chained = """
        { "format": 1, "stems": { "kick": { "file": "kick.wav" } },
          "nodes": { "room": { "type": "chain", "in": "kick", "steps": [ { "type": "tone", "frequencyHz": 50 } ] } },
          "outputs": { "everything": { "in": "room", "file": "all.wav" } } }
        """;

    private string[] Faults(string path, string? only = null, MemoryAudioFiles? files = null)
    {
        var diagnostics = new DiagnosticList();
        Assert.Null(LoadedGraph.Load(path, null, only, StubNodes.Catalog, files ?? Files(), Anchor, diagnostics));
        return [.. diagnostics.InOrder.Select(found => found.ToString())];
    }

    private MemoryAudioFiles Files() =>
        new MemoryAudioFiles().With(Path.Combine(_folder, "kick.wav"), Signal.Allocate(1, 100)).With(Path.Combine(_folder, "bass.wav"), Signal.Allocate(2, 100));

    private string Write(string text)
    {
        var path = Path.Combine(_folder, "song.json");
        File.WriteAllText(path, text);
        return path;
    }
}
