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
    private static readonly MeasureType[] Types = [.. BuiltInMeters.Catalog.Types.SelectMany(type => type.Measures)];

    /// <summary>Every measure there is: of the whole song, of a stretch, and at the hits. Whoever adds one adds its cases.</summary>
    public static TheoryData<string, string> Cases
    {
        get
        {
            var cases = new TheoryData<string, string>();
            foreach (var type in Types)
            {
                foreach (var during in type.AtHits is null ? ["", "[0.2, 4.4]"] : new[] { "", "[0.2, 4.4]", "\"hits\"" })
                    cases.Add(type.Name, during);
            }

            return cases;
        }
    }

    public static TheoryData<string> NotAtHits => [.. Types.Where(type => type.AtHits is null).Select(type => type.Name)];

    private static Song Noise(string gate) => new Song("")
        .Stem("a", Signals.Noise(5 * Song.SampleRateHz, channels: 2)).Output("a", "mix", "\"measure\": true").Expect(gate);

    // A kick of 55 Hz every half second, a bass near it, and wide noise with an offset.
    private static Song Band(string gate, string nodes = """
        "mix": { "type": "mix", "in": ["kick", "bass", "air"] }
        """)
    {
        var frames = 5 * Song.SampleRateHz;
        Hit[] hits = [.. Enumerable.Range(0, 9).Select(hit => new Hit(2000 + (4000 * hit), 1))];
        var noise = Signals.Noise(frames, amplitude: 0.02, channels: 2);
        return new Song(nodes)
            .Stem("kick", Signals.Fill(1, frames, (_, frame) => frame < 2000 ? 0 : 0.5 * Math.Exp(-(frame - 2000) % 4000 / 800.0) * Math.Sin(2 * Math.PI * 55 * ((frame - 2000) % 4000) / Song.SampleRateHz)))
            .Stem("bass", Signals.Sine(57, Song.SampleRateHz, frames, 0.2))
            .Stem("air", Signals.Fill(2, frames, (channel, frame) => noise[channel][frame] + 0.01))
            .Anchor("kick", 55, hits).Output("mix").Expect(gate);
    }

    /// <summary>Every measure there is can be gated from both sides, over any stretch and at the hits.</summary>
    [Theory]
    [MemberData(nameof(Cases))]
    public void AGateHoldsWithinItsLimitsAndFailsPastThem(string measure, string during)
    {
        var of = measure == "peakCostDb" ? "bass" : "mix"; // what the mix itself costs is nothing to measure
        var song = Gate("\"atMost\": 100000");
        var result = song.RenderInto(song.Files());
        var measurement = result.Measures.Single().Measurements.Single();
        Assert.True(measurement.Value is not null, measurement.Reason);
        var value = measurement.Value.Value;

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

        Song Gate(string limits) => Band($$"""{ "measure": "{{measure}}", "of": "{{of}}", {{limits}}{{(during.Length > 0 ? ", \"during\": " + during : "")}} }""");
        bool Holds(string limit, double number) => HoldsOf(FormattableString.Invariant($"\"{limit}\": {number:R}"));
        bool Within(double least, double most) => HoldsOf(FormattableString.Invariant($"\"within\": [{least:R}, {most:R}]"));
        bool HoldsOf(string limits) => Judge(Gate(limits), result).Holds;
    }

    /// <summary>What makes no sense at the hits is refused, with the reason.</summary>
    [Theory]
    [MemberData(nameof(NotAtHits))]
    public void AMeasureThatTheHitsCannotHaveIsRefused(string measure)
    {
        var failure = Assert.Throws<ArgumentException>(() => Band($$"""{ "measure": "{{measure}}", "of": "mix", "atMost": 0, "during": "hits" }""").Document);
        Assert.Contains($"wants {measure} at the hits, but it cannot be taken there, since {Types.Single(type => type.Name == measure).NotAtHits}. ", failure.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void AtTheHitsOnlyWhatSoundsThereCounts()
    {
        // A click of full scale between two hits.
        Song Click(string during) => new Song("").Stem("a", Signals.Fill(1, 16000, (_, frame) => frame == 7000 ? 1 : 0.1 * Math.Sin(2 * Math.PI * 100 * frame / 8000.0)))
            .Anchor("a", 100, [new(4000, 1), new(8000, 1)]).Output("a").Expect($$"""{ "measure": "samplePeakDbfs", "of": "a", "atMost": -10{{during}} }""");
        Assert.False(Judge(Click("")).Holds);
        Assert.True(Judge(Click(", \"during\": \"hits\"")).Holds);
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

    /// <summary>Every measure there is can be gated by its change, from both sides, also at the hits.</summary>
    [Theory]
    [MemberData(nameof(Cases))]
    public void AChangeHoldsWithinItsLimitsAndFailsPastThem(string measure, string during)
    {
        var of = measure == "peakCostDb" ? "less" : "mix";
        var song = Gate("\"atMost\": 100000");
        var result = song.RenderInto(song.Files());
        double Of(bool untreated) => result.Measures.Single(point => point.Point.IsUntreated == untreated).Measurements.Single().Value!.Value;
        var change = Of(untreated: false) - Of(untreated: true);
        Assert.True(change != 0 || measure is "hitCount" or "dominantFrequencyHz" or "dominantFrequencyConfidence", measure); // its hits stay what they are
        Assert.Equal(change, Judge(song, result).Value);

        Assert.True(Holds("atMost", change + 0.001));
        Assert.False(Holds("atMost", change - 0.001));
        Assert.True(Holds("atLeast", change - 0.001));
        Assert.False(Holds("atLeast", change + 0.001));

        Song Gate(string limits) => Band(
            $$"""{ "measure": "{{measure}}", "of": "{{of}}", "against": "untreated", {{limits}}{{(during.Length > 0 ? ", \"during\": " + during : "")}} }""",
            """
            "hard": { "type": "lowShelf", "in": "kick", "frequencyHz": 90, "gainDb": 2 }, "less": { "type": "chain", "in": "bass", "steps": [ { "type": "gain", "gainDb": -4 }, { "type": "delay", "delayMs": 2 } ] },
            "mix": { "type": "mix", "in": [{ "from": "hard", "gainDb": -1 }, "less", { "from": "air", "gainDb": -2 }] }
            """);
        bool Holds(string limit, double number) => Judge(Gate(FormattableString.Invariant($"\"{limit}\": {number:R}")), result).Holds;
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
