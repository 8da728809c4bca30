using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Validation;

/// <summary>How what is known of the anchor comes into the document, and from there into the nodes.</summary>
public sealed class AnchorHearingTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("rendergraph-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void MeasuredHitsAndFrequencyReachTheNodesByTheSongsFrames()
    {
        var ear = new Ear([new(100, 1), new(5000, 0.4)], new(51.5, 0.2, 0.9, 2));
        using var loaded = Load(""" "stem": "kick", "frequencyHz": "measure" """, """ "startMs": 250 """, ear);
        Assert.Equal([new(12100, 1), new(17000, 0.4)], loaded!.Document.Anchor!.Measures!.Hits);
        Assert.Equal(51.5, loaded.Document.Anchor.FrequencyHz);
        var cut = Cut(loaded.Document, loaded);
        Assert.Equal(0, cut.KeyLeadFrames(48000));
        Assert.Equal((2.0, 12100 / 48000.0), HitsOf(cut));
        Assert.Equal((1, 1), (ear.HitCalls, ear.FrequencyCalls));
    }

    [Fact]
    public void ANumberAsksForNoMeasuringAndTheKeyIsFollowed()
    {
        var ear = new Ear([new(100, 1)], null);
        using var loaded = Load(""" "stem": "kick", "frequencyHz": 52 """, "", ear);
        Assert.Null(loaded!.Document.Anchor!.Measures);
        Assert.NotEqual(0, Cut(loaded.Document, loaded).KeyLeadFrames(48000));
        Assert.Equal((0, 0), (ear.HitCalls, ear.FrequencyCalls));
    }

    [Fact]
    public void WhatIsMeasuredAgainstTheAnchorHasItsHitsFoundAndChangesNoNode()
    {
        var ear = new Ear([new(100, 1)], new(51.5, 0.2, 0.1, 1));
        using var loaded = Load(""" "stem": "kick", "frequencyHz": 52 """, """ "measure": ["clearanceDb"] """, ear);
        Assert.Equal([new(100, 1)], loaded!.Document.Anchor!.Measures!.Hits);
        Assert.Equal(52, loaded.Document.Anchor.FrequencyHz);
        Assert.NotEqual(0, Cut(loaded.Document, loaded).KeyLeadFrames(48000)); // it still follows
        Assert.Equal((1, 0), (ear.HitCalls, ear.FrequencyCalls));
    }

    [Fact]
    public void HitsFromAFileAreNotLookedForAgainAndServeTheFrequency()
    {
        File.WriteAllText(Path.Combine(_folder, "mine.csv"), "seconds,strength\n0.1,1\n0.5,0.5\n");
        var ear = new Ear([new(1, 1)], new(60, 0, 1, 1));
        using var loaded = Load(""" "stem": "kick", "frequencyHz": "measure", "hits": "mine.csv" """, """ "startMs": 250 """, ear);
        Assert.Equal([new(4800, 1), new(24000, 0.5)], loaded!.Document.Anchor!.Measures!.Hits);
        Assert.Equal((0, 1), (ear.HitCalls, ear.FrequencyCalls));
        Assert.Equal([new Hit(12000, 0.5)], ear.HeardFor); // by the stem's frames; one lies before its start
    }

    [Fact]
    public void HitsAreMeasuredForAnAnchorWhoseFrequencyIsTold()
    {
        var ear = new Ear([new(4000, 1)], null);
        using var loaded = Load(""" "stem": "kick", "frequencyHz": 52, "hits": "measure" """, "", ear);
        Assert.Equal(1, HitsOf(Cut(loaded!.Document, loaded)).Count);
        Assert.Equal((1, 0), (ear.HitCalls, ear.FrequencyCalls));
    }

    [Fact]
    public void WhatLiesBeforeTheSongIsNotHeard()
    {
        using var loaded = Load(""" "stem": "kick", "frequencyHz": 52, "hits": "measure" """, """ "startMs": -100 """, new Ear([new(4000, 1), new(4900, 1)], null));
        Assert.Equal([new Hit(100, 1)], loaded!.Document.Anchor!.Measures!.Hits);
    }

    [Fact]
    public void MeasuresKnownFromBeforeStandInTheStead()
    {
        using var loaded = Load(""" "stem": "kick", "frequencyHz": "measure" """, "", new Ear([new(4000, 1)], new(50, 0, 1, 1)));
        var kept = loaded!.Document with { Anchor = loaded.Document.Anchor! with { Measures = new([new(7, 0.5)], new(63, 0, 1, 1)) } };
        Assert.Equal((1.0, 7 / 48000.0), HitsOf(Cut(kept, loaded)));
    }

    [Fact]
    public void AMeasuredFrequencyIsHeldAgainstTheBoundsOfThoseWhoTakeIt()
    {
        var diagnostics = new DiagnosticList();
        using var loaded = Load(""" "stem": "kick", "frequencyHz": "measure" """, "", new Ear([new(4000, 1)], new(1200, 0, 1, 1)), diagnostics);
        Assert.Null(loaded);
        Assert.Contains("node \"room\" asks for frequencyHz 1200 from the anchor, but it must lie between 20 and 1000", Assert.Single(diagnostics.InOrder).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void AStemThatFailsWhileItIsListenedToIsToldWhereTheGraphNamesIt()
    {
        var diagnostics = new DiagnosticList();
        using var loaded = Load(""" "stem": "kick", "frequencyHz": "measure" """, "", new Ear(null, null), diagnostics);
        Assert.Null(loaded);
        var told = Assert.Single(diagnostics.InOrder);
        Assert.Equal(DiagnosticCode.StemNotFinite, told.Code);
        Assert.Equal("stem \"kick\" (kick.wav): its frame 12 is not a number", told.Sentence);
        Assert.Equal(3, told.At.Line);
    }

    private LoadedGraph? Load(string anchor, string kick, IAnchorMeasuring ear, DiagnosticList? diagnostics = null)
    {
        var path = Path.Combine(_folder, "song.json");
        File.WriteAllText(path, $$"""
            { "format": 1,
              "stems": {
                "kick": { "file": "kick.wav"{{(kick.Length > 0 ? "," : "")}} {{kick}} },
                "bass": { "file": "bass.wav" }
              },
              "anchor": { {{anchor}} },
              "nodes": { "room": { "type": "keyedCut", "in": "bass", "frequencyHz": "anchor" }, "mix": { "type": "mix", "in": ["kick", "room"] } },
              "outputs": { "mix": { "in": "mix", "file": "mix.wav" } } }
            """);
        var files = new MemoryAudioFiles()
            .With(Path.Combine(_folder, "kick.wav"), Signals.Silence(48000))
            .With(Path.Combine(_folder, "bass.wav"), Signals.Silence(48000));
        return LoadedGraph.Load(path, null, null, BuiltInNodes.Catalog, files, ear, diagnostics ?? new());
    }

    private static KeyedCutNode Cut(GraphDocument document, LoadedGraph loaded) =>
        (KeyedCutNode)Planner.Plan(document, loaded.Stems.Formats, loaded.SampleRateHz).Steps.OfType<NodeStep>().Single(step => step.Id == "room").Node;

    private static (double? Count, double? FirstSeconds) HitsOf(KeyedCutNode cut)
    {
        cut.Prepare(new(48000, [new(1), new(1)], 1, 16));
        return (cut.Figures.Single(figure => figure.Name == "hitCount").Value, cut.Figures.Single(figure => figure.Name == "firstHitSeconds").Value);
    }

    /// <summary>Has its answers ready; without hits, the stem fails.</summary>
    private sealed class Ear(IReadOnlyList<Hit>? hits, DominantFrequency? frequency) : IAnchorMeasuring
    {
        public int HitCalls { get; private set; }

        public int FrequencyCalls { get; private set; }

        public IReadOnlyList<Hit>? HeardFor { get; private set; }

        public IReadOnlyList<Hit> Hits(IStemReader stem)
        {
            HitCalls++;
            return hits ?? throw new StemException(DiagnosticCode.StemNotFinite, "kick.wav", "its frame 12 is not a number", "Export the part again");
        }

        public DominantFrequency? Frequency(IStemReader stem, IReadOnlyList<Hit> heardFor)
        {
            FrequencyCalls++;
            HeardFor = heardFor;
            return frequency;
        }
    }
}
