using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Planning;

/// <summary>What a point would give if nothing were done to the stems.</summary>
public class UntreatedTests
{
    private const string Untreated = "\"kind\": \"untreated\"";

    private static readonly Signal A = Signals.Noise(900, seed: 1), B = Signals.Noise(800, seed: 2, channels: 2), C = Signals.Noise(700, seed: 3);

    //  a --+
    //  b --+--> inner --+--> outer --> softer --> lows
    //  c ---------------+
    [Fact]
    public void IsTheSameBitsWhereNothingIsTreated()
    {
        var song = new Song("""
            "inner": { "type": "mix", "in": ["b", "a"] },
            "outer": { "type": "mix", "in": ["c", "inner"], "gainDb": -2.3 },
            "softer": { "type": "gain", "in": "outer", "gainDb": -3.1 },
            "lows": { "type": "lowPass", "in": "softer", "frequencyHz": 300 }
            """).Stem("a", A, "\"startMs\": 12.5, \"gainDb\": -1").Stem("b", B).Stem("c", C);
        foreach (var point in (string[])["a", "b", "inner", "outer", "softer", "lows"])
            song.Output(point, point, "").Output(point, point + "-untreated", Untreated);

        var given = song.Render();

        Assert.Equal(12, given.Count);
        Assert.All(given.Where(output => !output.Key.EndsWith("untreated", StringComparison.Ordinal)), output =>
            Sound.AssertEqual(output.Value, given[output.Key + "-untreated"], output.Key));
    }

    [Fact]
    public void BypassesEveryNodeAndLeavesOutGainsOnTheWayIntoSums()
    {
        var song = new Song("""
            "high": { "type": "highPass", "in": "a", "frequencyHz": 900 },
            "turned": { "type": "polarity", "in": "high" },
            "inner": { "type": "mix", "in": ["turned", { "from": "c", "gainDb": -20 }], "gainDb": 5 },
            "limited": { "type": "limit", "in": "inner", "ceilingDbtp": -20 },
            "outer": { "type": "mix", "in": [{ "from": "limited", "gainDb": 3 }] },
            "narrow": { "type": "highPass", "in": "outer", "frequencyHz": 500 }
            """).Stem("a", A).Stem("c", C).Output("narrow", Untreated).Output("turned", Untreated).Output("inner", Untreated);

        var given = song.Render();

        Sound.AssertEqual(A, given["turned"].Slice(0, 900));
        Sound.AssertEqual(Sum(A, C), given["narrow"]);
        var gain = Math.Pow(10, 5 / 20.0); // its own level belongs to the point that is asked for
        Assert.All(Enumerable.Range(0, 900), frame => Assert.Equal(Sum(A, C)[0][frame] * gain, given["inner"][0][frame], 12));
    }

    //  a --> late --+--> mix       all of the song is as late as its latest part
    //  c -----------+
    [Fact]
    public void StaysInStepWithALateTreatmentAndDoesNotHoldItUp()
    {
        var song = new Song("""
            "treated": { "type": "late", "in": "a", "latencyFrames": 77 },
            "mix": { "type": "mix", "in": ["treated", "c"] }
            """).Stem("a", A).Stem("c", C).Output("mix").Output("mix", "before", Untreated);

        var plan = song.Plan();
        var given = song.Render(plan: plan);

        Sound.AssertEqual(given["mix"], given["before"]);
        Assert.Equal([77, 77], plan.Writes.Select(write => write.LatencyFrames));
        Assert.Equal(77, plan.Steps.Single(step => step.Name == "c").LatencyFrames);
        Assert.Equal("a + 77", Assert.Single(plan.Steps.OfType<AlignStep>()).Name);
    }

    [Fact]
    public void CountsAStemOnceHoweverManyWaysItGoes()
    {
        var song = new Song("""
            "low": { "type": "lowPass", "in": "a", "frequencyHz": 400 },
            "high": { "type": "highPass", "in": "a", "frequencyHz": 400 },
            "both": { "type": "mix", "in": ["low", "high", "c"] },
            "mix": { "type": "mix", "in": ["both", "a", "b", "high"] }
            """).Stem("a", A).Stem("b", B).Stem("c", C).Output("mix", Untreated);

        var expected = Signals.Fill(2, 900, (channel, frame) => A[0][frame] + At(C, 0, frame) + At(B, channel, frame));
        Sound.AssertEqual(expected, song.Render()["mix"]);
    }

    [Fact]
    public void HasNoMutedStemThatSteersButOneThatWasDropped()
    {
        var song = new Song("""
            "room": { "type": "keyed", "in": "b", "key": "trigger" },
            "lows": { "type": "mix", "in": ["kick", "room"] },
            "mix": { "type": "mix", "in": ["lows", "muted"] }
            """)
            .Stem("kick", A, "\"muted\": true").Stem("trigger", Signals.Noise(900, 8)).Stem("b", B).Stem("muted", C, "\"muted\": true").Stem("left", Signals.Noise(600, 9)).Anchor("kick")
            .Output("mix", Untreated).Output("lows", Untreated);

        var given = song.Render();

        // The fullest point has what reaches nothing; the trigger only steers.
        Sound.AssertEqual(Signals.Fill(2, 900, (channel, frame) => At(B, channel, frame) + At(C, 0, frame) + At(song.Stems["left"], 0, frame)), given["mix"]);
        Sound.AssertEqual(Signals.Fill(2, 900, (channel, frame) => At(B, channel, frame)), given["lows"]);
    }

    [Fact]
    public void HasWhatAStemSaysOfItself()
    {
        var song = new Song("""
            "room": { "type": "keyed", "in": "b", "key": "kick" },
            "mix": { "type": "mix", "in": ["kick", "room", "added"] }
            """)
            .Stem("kick", A, "\"muted\": true, \"untreated\": true").Stem("b", B).Stem("added", C, "\"untreated\": false").Anchor("kick").Output("mix", Untreated).Output("added", Untreated);

        var given = song.Render();

        Sound.AssertEqual(Sum(Signals.Stereo(A, A), B), given["mix"]);
        Sound.AssertEqual(Signals.Silence(900), given["added"]);
    }

    [Fact]
    public void TakesOverALoudnessFromAndGivesItToOtherOutputs()
    {
        var song = new Song("""
            "half": { "type": "gain", "in": "a", "gainDb": -6.0206 },
            "mix": { "type": "mix", "in": ["half"] }
            """).Stem("a", Signals.Sine(1000, Song.SampleRateHz, 8000, 0.2))
            .Output("mix", "after", "\"loudnessLufs\": -23").Output("mix", "before", Untreated + ", \"loudnessLufs\": -23")
            .Output("mix", "beforeToo", Untreated + ", \"gainOf\": \"before\"").Output("mix", "asAfter", Untreated + ", \"gainOf\": \"after\"");

        var given = song.Render();

        Assert.Equal(0, Db(given["after"], given["before"]), 0.02);
        Sound.AssertEqual(given["before"], given["beforeToo"]);
        Assert.Equal(6.02, Db(given["asAfter"], given["after"]), 0.02);
    }

    private static double Db(Signal one, Signal other) => 20 * Math.Log10(Signals.Peak(one) / Signals.Peak(other));

    private static double At(Signal signal, int channel, int frame) => frame < signal.Frames ? signal[Math.Min(channel, signal.Channels - 1)][frame] : 0;

    private static Signal Sum(Signal one, Signal other) =>
        Signals.Fill(Math.Max(one.Channels, other.Channels), Math.Max(one.Frames, other.Frames), (channel, frame) => At(one, channel, frame) + At(other, channel, frame));
}
