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
    public static TheoryData<string> Measures => [.. BuiltInMeters.Catalog.UsualNames];

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

    /// <summary>Every measure there is can be gated by its change, from both sides.</summary>
    [Theory]
    [MemberData(nameof(Measures))]
    public void AChangeHoldsWithinItsLimitsAndFailsPastThem(string measure)
    {
        Song Treated(string limits) => new Song("""
            "late": { "type": "late", "in": "a", "latencyFrames": 33 },
            "low": { "type": "lowShelf", "in": "late", "frequencyHz": 90, "gainDb": 7 },
            "mix": { "type": "mix", "in": [{ "from": "low", "gainDb": -3 }] }
            """).Stem("a", Signals.Noise(5 * Song.SampleRateHz, channels: 2)).Output("mix").Expect($$"""{ "measure": "{{measure}}", "of": "mix", "against": "untreated", {{limits}} }""");
        var song = Treated("\"atMost\": 1000");
        var result = song.RenderInto(song.Files());
        double Of(bool untreated) => result.Measures.Single(point => point.Point.IsUntreated == untreated).Measurements.Single().Value!.Value;
        var change = Of(untreated: false) - Of(untreated: true);
        Assert.NotEqual(0, change);
        Assert.Equal(change, Judge(song, result).Value);

        Assert.True(Holds("atMost", change + 0.001));
        Assert.False(Holds("atMost", change - 0.001));
        Assert.True(Holds("atLeast", change - 0.001));
        Assert.False(Holds("atLeast", change + 0.001));

        bool Holds(string limit, double number) => Judge(Treated(FormattableString.Invariant($"\"{limit}\": {number:R}")), result).Holds;
    }

    [Fact]
    public void TheUntreatedMeasureIsThatOfAnUntreatedOutput()
    {
        var song = new Song("""
            "mix": { "type": "mix", "in": [{ "from": "a", "gainDb": -3 }], "gainDb": -1 }
            """).Stem("a", Signals.Noise(8000)).Output("mix", "after", "\"channels\": \"stereo\", \"tailMs\": 100").Output("mix", "before", "\"kind\": \"untreated\", \"channels\": \"stereo\", \"tailMs\": 100, \"measure\": [\"integratedLufs\"]")
            .Expect("""{ "measure": "integratedLufs", "of": "after", "against": "untreated", "atMost": 0 }, { "measure": "samplePeakDbfs", "of": "mix", "against": "untreated", "within": [-3.001, -2.999] }""");
        var result = song.RenderInto(song.Files());
        var gates = GateResult.Judge(song.Document, result, isWhole: true);
        var before = result.Measures.Single(point => point.Point is { Name: "before", IsUntreated: false });
        Assert.Equal(before.Measurements.Single().Value, gates[0].Untreated!.Value);
        Assert.Equal([true, true], gates.Select(gate => gate.Holds));
    }

    [Fact]
    public void AnOutputsLoudnessGivesItsUntreatedCounterpartTheSameGainAndItsCeilingNothing()
    {
        var song = new Song("""
            "mix": { "type": "mix", "in": [{ "from": "a", "gainDb": -6 }] }
            """).Stem("a", Signals.Noise(8000)).Output("mix", "mix", "\"loudnessLufs\": -20, \"ceilingDbtp\": -20")
            .Expect("""{ "measure": "integratedLufs", "of": "mix", "against": "untreated", "atMost": 0 }""");
        var result = song.RenderInto(song.Files());
        Assert.Equal(-14, Assert.Single(GateResult.Judge(song.Document, result, isWhole: true)).Untreated!.Value!.Value, 0.1);
        Assert.Equal(["mix loudness", "mix limit"], result.Nodes.Select(node => node.Node));
    }

    [Fact]
    public void AChangeOfWhatCannotBeMeasuredDoesNotHoldAndSaysWhichSide()
    {
        var gate = Judge(new Song("""
            "up": { "type": "gain", "in": "a", "gainDb": 36 }
            """).Stem("a", Signals.Noise(8000, amplitude: 1e-4)).Output("up").Expect("""{ "measure": "integratedLufs", "of": "up", "against": "untreated", "within": [-1000, 1000] }"""));
        Assert.False(gate.Holds);
        Assert.StartsWith("untreated, ", gate.Reason, StringComparison.Ordinal);
    }

    private static GateResult Judge(Song song, RenderResult? result = null) =>
        GateResult.Judge(song.Document, result ?? song.RenderInto(song.Files()), isWhole: true).Single();
}
