using System.Text;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Locks;
using RenderGraph.Graph.Rendering;
using RenderGraph.Nodes;
using Xunit;

namespace RenderGraph.Graph.Tests.Locks;

/// <summary>A graph and a lock of it that has everything a lock can have.</summary>
internal static class SampleLock
{
    public const string Graph = """
        {
          "format": 1, "title": "Low Lantern", "tempoBpm": 96,
          "stems": { "kick": { "file": "stems/kick.wav", "measure": true }, "bass": { "file": "stems/bass.wav", "gainDb": -1.5 } },
          "anchor": { "stem": "kick", "frequencyHz": "measure" },
          "nodes": {
            "room": { "type": "keyedCut", "in": "bass", "frequencyHz": "anchor", "depthDb": 9 },
            "lean": { "type": "chain", "in": "room", "steps": [{ "type": "highPass", "frequencyHz": 30 }] },
            "mix": { "type": "mix", "in": ["kick", { "from": "lean", "gainDb": -2 }] }
          },
          "outputs": { "mix": { "in": "mix", "file": "mix.wav", "loudnessLufs": -23 } },
          "expect": [{ "measure": "truePeakDbtp", "of": "mix", "atMost": -1 }]
        }
        """;

    public static GraphDocument Read(string graph)
    {
        var faults = new DiagnosticList();
        var document = GraphReader.Read("song.json", Encoding.UTF8.GetBytes(graph), BuiltInNodes.Catalog, faults)!;
        Assert.False(faults.HasErrors, string.Join('\n', faults.InOrder));
        return document;
    }

    public static GraphState State(string graph, RenderLock? locked) => new(
        GraphState.WithAnchor(Read(graph), locked),
        new Dictionary<string, ContentHash?> { ["stems/kick.wav"] = Content(1), ["stems/bass.wav"] = Content(2) });

    public static ContentHash Content(byte seed) => ContentHash.Of([seed]);

    public static RenderLock Make()
    {
        var anchor = new LockedAnchor(480, [new(4800, 1), new(28_800, 0.35)], new(51.5, 0.2, 0.93, 2));
        var bare = new RenderLock
        {
            EngineVersion = RenderLock.ThisEngine,
            GraphXxh128 = "00",
            SampleRateHz = 48_000,
            LatencyFrames = 12,
            Inputs = new Dictionary<string, ContentHash> { ["stems/kick.wav"] = Content(1), ["stems/bass.wav"] = Content(2) },
            Anchor = anchor,
            Graph = new Dictionary<string, string>(),
            Outputs = [new("mix.wav", "mix", Content(3), 2, SampleEncoding.Pcm24, new(96_000, 0.1 + 0.2, 3, "WAV"))],
        };
        return bare with
        {
            IsOutsideAllowed = true,
            ConvertedFromHz = new Dictionary<string, int> { ["kick"] = 44_100 },
            Graph = State(Graph, bare).Effective,
            Figures = [new("room", "keyedCut", [new("hitCount", 2), new("thresholdDbfs", null)])],
            Measures = [.. Read(Graph).Measured.Select(point => new LockedMeasures(
                point.Key, 0, 96_000, [.. point.Measures.Order(StringComparer.Ordinal).Select((name, index) => index switch
                {
                    0 => Measurement.None(name, "it is \"silent\""),
                    1 => new(name, -1.0 / 3, null, 77),
                    _ => new Measurement(name, -index),
                })]))],
            Gates = [new("truePeakDbtp of output \"mix\", at most -1", false, -0.25, "kick")],
            Findings =
            [
                new(FindingAbout.Graph, "", DiagnosticCode.GateFailed, Severity.Error, new(12, 3), "truePeakDbtp is too high", "Turn it down"),
                new(FindingAbout.Output, "mix.wav", DiagnosticCode.Clipped, Severity.Warning, default, "it clips", "Turn it down"),
                new(FindingAbout.File, "hits.csv", DiagnosticCode.HitsWrong, Severity.Warning, default, "an odd hit", "Look at it"),
            ],
        };
    }
}
