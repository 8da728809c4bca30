using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Measuring;

/// <summary>What a meter hears of the anchor, and of a part in the mix: the same nodes, with nothing else coming in.</summary>
public sealed class PartsOfASignalTests
{
    private const string AnchorSum = "\"measure\": [\"anchorSum\"]", MixSum = "\"measure\": [\"partOfMixSum\"]";

    private static readonly Signal Kick = Signals.Noise(2000, seed: 1), Bass = Signals.Noise(2000, seed: 2), Air = Signals.Noise(2000, seed: 3);

    //  kick --> late ---> mix (kick -6, bass, 3 dB down) --> behind --> out
    //  bass ------------>
    [Fact]
    public void TheAnchorIsHeardAsItIsInWhatIsMeasuredGainsAndLatenciesAndAll()
    {
        var song = Song($$"""
            "slow": { "type": "late", "in": "kick", "latencyFrames": 90 },
            "mix": { "type": "mix", "gainDb": -3, "in": [{ "from": "slow", "gainDb": -6 }, "bass"] },
            "behind": { "type": "late", "in": "mix", "latencyFrames": 40, {{AnchorSum}} }
            """).Output("behind");
        var own = Scaled(Kick, -9);
        var mix = Signals.Fill(1, 2000, (_, frame) => own[0][frame] + (Scaled(Bass, -3)[0][frame]));
        Assert.Equal(SumMeter.Of(mix, own), Measured(song, "behind"), 1e-6);
    }

    [Fact]
    public void WhereTheAnchorIsNotHeardItIsItsStem()
    {
        var song = Song($$"""
            "soft": { "type": "gain", "in": "bass", "gainDb": -6, {{AnchorSum}} }, "loud": { "type": "gain", "in": "kick", "gainDb": 6 }, "mix": { "type": "mix", "in": ["soft", "loud"] }
            """).Output("mix");
        Assert.Equal(SumMeter.Of(Scaled(Bass, -6), Kick), Measured(song, "soft"), 1e-6);
    }

    [Fact]
    public void AMutedAnchorIsNotHeardSoItIsItsStem()
    {
        var song = new Song($$"""
            "mix": { "type": "mix", "in": [{ "from": "kick", "gainDb": -6 }, "bass"], {{AnchorSum}} }
            """).Stem("kick", Kick, "\"muted\": true").Stem("bass", Bass).Anchor("kick").Output("mix");
        Assert.Equal(SumMeter.Of(Bass, Kick), Measured(song, "mix"), 1e-6);
    }

    /// <summary>What steers a node is the whole key, also for the part alone: "keyed" gives its signal times its key.</summary>
    [Fact]
    public void WhatSteersStaysWhole()
    {
        var song = Song($$"""
            "sum": { "type": "mix", "in": ["kick", "bass"] }, "cut": { "type": "keyed", "in": "sum", "key": "bass", {{AnchorSum}} }
            """).Output("cut");
        var whole = Rendered("""
            "sum": { "type": "mix", "in": ["kick", "bass"] }, "cut": { "type": "keyed", "in": "sum", "key": "bass" }
            """);
        var alone = Rendered("""
            "sum": { "type": "mix", "in": ["kick"] }, "cut": { "type": "keyed", "in": "sum", "key": "bass" }
            """);
        Assert.Equal(SumMeter.Of(whole, alone), Measured(song, "cut"), 1e-6);

        static Signal Rendered(string nodes) => new Song(nodes).Stem("kick", Kick).Stem("bass", Bass).Output("cut").Render()["cut"];
    }

    [Fact]
    public void AnOutputIsHeardBeforeItsCeilingSoThatTheAnchorIsAPartOfIt()
    {
        var song = Song("""
            "mix": { "type": "mix", "in": [{ "from": "kick", "gainDb": -6 }, "bass"] }
            """).Output("mix", "mix", "\"ceilingDbtp\": -12, \"measure\": [\"sourceSum\"]");
        var mix = Signals.Fill(1, 2000, (_, frame) => Scaled(Kick, -6)[0][frame] + Bass[0][frame]);
        Assert.Equal(SumMeter.Of(mix, Scaled(Kick, -6)), Measured(song, "mix"), 1e-6);
    }

    /// <summary>The mix is what most stems reach; a low-passed copy of it is none, though it stands first.</summary>
    [Fact]
    public void APartIsHeardAsTheMixHasIt()
    {
        var song = Song($$"""
            "soft": { "type": "gain", "in": "bass", "gainDb": -4, {{MixSum}} },
            "mix": { "type": "mix", "in": ["kick", { "from": "soft", "gainDb": -2 }, "air"] },
            "lows": { "type": "lowPass", "in": "mix", "frequencyHz": 100 }
            """).Stem("air", Air).Output("lows").Output("kick").Output("mix");
        var own = Scaled(Bass, -6);
        var mix = Signals.Fill(1, 2000, (_, frame) => Kick[0][frame] + own[0][frame] + Air[0][frame]);
        Assert.Equal(SumMeter.Of(mix, own), Measured(song, "soft"), 1e-6);
    }

    [Fact]
    public void OfTheUntreatedSongTheAnchorIsWhatItWasThere()
    {
        var song = Song("""
            "soft": { "type": "gain", "in": "bass", "gainDb": -20 }, "mix": { "type": "mix", "gainDb": -3, "in": [{ "from": "kick", "gainDb": -6 }, "soft"] }
            """).Output("mix").Expect("""
            { "measure": "anchorSum", "of": "mix", "against": "untreated", "atMost": 100000 }, { "measure": "partOfMixSum", "of": "soft", "against": "untreated", "atMost": 100000 }
            """);
        var (kick, bass) = (Scaled(Kick, -3), Scaled(Bass, -3));
        var mix = Signals.Fill(1, 2000, (_, frame) => kick[0][frame] + bass[0][frame]);
        var untreated = song.RenderInto(song.Files()).Measures.Where(measured => measured.Point.IsUntreated).ToDictionary(measured => measured.Point.Name, measured => measured.Measurements.Single().Value!.Value);
        Assert.Equal(SumMeter.Of(mix, kick), untreated["mix"], 1e-6);
        Assert.Equal(SumMeter.Of(mix, bass), untreated["soft"], 1e-6);
    }

    [Fact]
    public void WhatIsSharedIsDoneOnceAndPartsStandInNoReportOfFigures()
    {
        var song = Song($$"""
            "tight": { "type": "duck", "in": "bass", "thresholdDbfs": -20, "key": "kick" },
            "mix": { "type": "mix", "in": ["kick", "tight"] }, "ducked": { "type": "duck", "in": "mix", "key": "bass", "thresholdDbfs": -20, {{AnchorSum}} }
            """).Output("ducked");
        var plan = song.Plan();
        Assert.Equal(
            ["ducked", "ducked (kick alone)", "mix", "mix (kick alone)", "tight"],
            plan.Steps.OfType<NodeStep>().Select(step => step.Name).Order(StringComparer.Ordinal));
        Assert.Equal(["ducked", "tight"], song.RenderInto(song.Files()).Nodes.Select(node => node.Node).Order(StringComparer.Ordinal));
    }

    private static Song Song(string nodes) => new Song(nodes).Stem("kick", Kick).Stem("bass", Bass).Anchor("kick");

    private static Signal Scaled(Signal signal, double gainDb) => Signals.Fill(signal.Channels, signal.Frames, (channel, frame) => Math.Pow(10, gainDb / 20) * signal[channel][frame]);

    private static double Measured(Song song, string point) =>
        song.RenderInto(song.Files()).Measures.Single(measured => measured.Point.Name == point && !measured.Point.IsUntreated).Measurements.Single(measurement => measurement.Name.EndsWith("Sum", StringComparison.Ordinal)).Value!.Value;
}
