using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Validation;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Validation;

public sealed class LoadedGraphTests : IDisposable
{
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
            """), null, null, StubNodes.Catalog, Files(), diagnostics);
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

    private MemoryAudioFiles Files() =>
        new MemoryAudioFiles().With(Path.Combine(_folder, "kick.wav"), Signal.Allocate(1, 100)).With(Path.Combine(_folder, "bass.wav"), Signal.Allocate(2, 100));

    private string Write(string text)
    {
        var path = Path.Combine(_folder, "song.json");
        File.WriteAllText(path, text);
        return path;
    }
}
