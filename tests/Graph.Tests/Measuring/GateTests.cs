using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Nodes;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Measuring;

public class GateTests
{
    public static TheoryData<string> Measures => [.. BuiltInMeters.Catalog.NamesOfOneSignal];

    private static Song Noise(string gate) => new Song("")
        .Stem("a", Signals.Noise(5 * Song.SampleRateHz, channels: 2)).Output("a", "mix", "\"measure\": true").Expect(gate);

    /// <summary>Every measure there is can be gated from both sides.</summary>
    [Theory]
    [MemberData(nameof(Measures))]
    public void AGateHoldsWithinItsLimitsAndFailsPastThem(string measure)
    {
        var song = Noise($$"""{ "measure": "{{measure}}", "of": "mix", "atMost": 1000 }""");
        var result = song.RenderInto(song.Files());
        var value = result.Measures.Single().Measurements.Single(found => found.Name == measure).Value!.Value;

        Assert.True(Judge(song, result).Holds);
        Assert.True(Holds("atMost", value));
        Assert.True(Holds("atLeast", value));
        Assert.False(Holds("atMost", value - 0.001));
        Assert.False(Holds("atLeast", value + 0.001));
        Assert.True(Holds("atMost", value + 0.001));
        Assert.True(Holds("atLeast", value - 0.001));
        Assert.True(Within(value - 0.1, value + 0.1));
        Assert.False(Within(value + 0.1, value + 0.2));
        Assert.False(Within(value - 0.2, value - 0.1));

        bool Holds(string limit, double number) => HoldsOf(FormattableString.Invariant($"\"{limit}\": {number:R}"));
        bool Within(double least, double most) => HoldsOf(FormattableString.Invariant($"\"within\": [{least:R}, {most:R}]"));
        bool HoldsOf(string limits) => Judge(Noise($$"""{ "measure": "{{measure}}", "of": "mix", {{limits}} }"""), result).Holds;
    }

    [Fact]
    public void WhatAGateIsAboutIsMeasuredWithoutBeingAskedForAndOnlyOnce()
    {
        var song = new Song("""
            "soft": { "type": "gain", "in": "a", "gainDb": -6 }
            """).Stem("a", Signals.Noise(Song.SampleRateHz)).Output("a", "mix", "").Expect("""
            { "measure": "samplePeakDbfs", "of": "mix", "atMost": 0 }, { "measure": "truePeakDbtp", "of": "mix", "atMost": 6 },
            { "measure": "samplePeakDbfs", "of": "soft", "atMost": -12 }, { "measure": "samplePeakDbfs", "of": "mix", "atMost": 0, "during": [0, 0.5] }
            """);
        var result = song.RenderInto(song.Files());
        Assert.Equal(3, result.Measures.Count);
        Assert.Equal([true, true, true, true], GateResult.Judge(song.Document, result, isWhole: true).Select(gate => gate.Holds));
    }

    [Fact]
    public void AStretchIsJudgedByItself()
    {
        var signal = Signals.Fill(1, 8000, (_, frame) => frame < 4000 ? 0.1 : 0.8);
        bool Holds(string during) => Judge(new Song("").Stem("a", signal).Output("a").Expect(
            $$"""{ "measure": "samplePeakDbfs", "of": "a", "atMost": -10{{during}} }""")).Holds;
        Assert.False(Holds(""));
        Assert.True(Holds(", \"during\": [0, 0.5]"));
        Assert.False(Holds(", \"during\": [0.25, 0.75]"));
    }

    [Fact]
    public void AStretchTellsPlacesInTheSong()
    {
        var signal = Signals.Impulse(8000, at: 6000);
        var gate = Judge(new Song("").Stem("a", signal).Output("a").Expect("""{ "measure": "samplePeakDbfs", "of": "a", "atMost": -1, "during": [0.5, 1] }"""));
        Assert.Equal((4000, 2000), (gate.Point!.FirstFrame, gate.Measurement!.AtFrame));
    }

    [Fact]
    public void WhatCannotBeMeasuredDoesNotHold()
    {
        var gate = Judge(new Song("").Stem("a", Signals.Noise(100)).Output("a").Expect("""{ "measure": "integratedLufs", "of": "a", "atMost": 0 }"""));
        Assert.True(gate.IsJudged);
        Assert.False(gate.Holds);
    }

    [Fact]
    public void OfAPartNoGateIsJudged()
    {
        var song = Noise("""{ "measure": "truePeakDbtp", "of": "mix", "atMost": -100 }""");
        var result = song.RenderInto(song.Files(), new() { FromSeconds = 1 });
        Assert.False(Assert.Single(GateResult.Judge(song.Document, result, isWhole: false)).IsJudged);
    }

    [Fact]
    public void AnOutputsNameComesBeforeASignals()
    {
        var song = new Song("""
            "mix": { "type": "gain", "in": "a", "gainDb": -20 }
            """).Stem("a", Signals.Constant(0.5, 1000)).Output("mix", "quiet", "").Output("a", "mix", "").Expect("""{ "measure": "samplePeakDbfs", "of": "mix", "atLeast": -7 }""");
        Assert.Equal(PointKind.Output, Assert.Single(song.Document.Expectations).Kind);
        Assert.True(Judge(song).Holds);
    }

    private static GateResult Judge(Song song, RenderResult? result = null) =>
        GateResult.Judge(song.Document, result ?? song.RenderInto(song.Files()), isWhole: true).Single();
}
