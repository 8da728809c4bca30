using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Rendering;

/// <summary>What is the same on two paths is nothing when it is subtracted: the plainest proof that paths are aligned.</summary>
public class NullTests
{
    //  a --> late --> late --+
    //   \--> late -----------+--> difference
    [Theory]
    [InlineData(0, 0, 0)]
    [InlineData(1, 0, 0)]
    [InlineData(5, 700, 30)]
    [InlineData(0, 3, 4096)]
    [InlineData(64, 64, 64)]
    public void AStemOnTwoPathsOfUnequalLatencyCancelsToTheBit(int first, int second, int other)
    {
        var song = new Song($$"""
            "first": { "type": "late", "in": "a", "latencyFrames": {{first}} },
            "second": { "type": "late", "in": "first", "latencyFrames": {{second}} },
            "other": { "type": "late", "in": "a", "latencyFrames": {{other}} },
            "difference": { "type": "sum", "in": ["second", { "from": "other", "gainDb": -6 }] }
            """).Stem("a", Signals.Noise(3000, channels: 2)).Output("difference").Output("second");

        var outputs = song.Render();

        Sound.AssertEqual(Signals.Silence(3000, 2), outputs["difference"]);
        Sound.AssertEqual(song.Stems["a"], outputs["second"]); // the sound was there
    }

    //  a --> node with latency --+
    //   \--> polarity -----------+--> mix
    [Theory]
    [InlineData("\"type\": \"keyedCut\", \"key\": \"quiet\", \"frequencyHz\": 60, \"lookaheadMs\": 8")]
    [InlineData("\"type\": \"keyedCut\", \"key\": \"quiet\", \"frequencyHz\": 60, \"lookaheadMs\": 50, \"thresholdDbfs\": -40")]
    [InlineData("\"type\": \"keyedCut\", \"key\": \"loud\", \"frequencyHz\": 60, \"depthDb\": 0, \"lookaheadMs\": 8")]
    [InlineData("\"type\": \"duck\", \"key\": \"quiet\", \"lookaheadMs\": 12")]
    [InlineData("\"type\": \"duck\", \"key\": \"loud\", \"rangeDb\": 0, \"lookaheadMs\": 12")]
    [InlineData("\"type\": \"saturate\", \"driveDb\": 20, \"blend\": 0, \"oversampling\": 8")]
    [InlineData("\"type\": \"saturate\", \"driveDb\": 20, \"blend\": 0, \"belowHz\": 120")]
    [InlineData("\"type\": \"saturate\", \"driveDb\": 20, \"oversampling\": 4, \"bypass\": true")]
    [InlineData("\"type\": \"gain\", \"gainDb\": 0")]
    [InlineData("\"type\": \"delay\", \"delayFrames\": 0")]
    [InlineData("\"type\": \"delay\", \"delayMs\": 5, \"bypass\": true")]
    [InlineData("\"type\": \"delay\", \"delayFrames\": -3.5, \"bypass\": true")]
    [InlineData("\"type\": \"keyedCut\", \"key\": \"loud\", \"frequencyHz\": 60, \"bypass\": true")]
    [InlineData("\"type\": \"monoBelow\", \"frequencyHz\": 120, \"bypass\": true")]
    public void ANodeThatChangesNothingCancelsToTheBitHoweverLateItIs(string node)
    {
        var song = new Song($$"""
            "treated": { "in": "a", {{node}} },
            "flipped": { "type": "polarity", "in": "a" },
            "difference": { "type": "mix", "in": ["treated", "flipped"] }
            """)
            .Stem("a", Signals.Noise(6000, channels: 2)).Stem("quiet", Signals.Silence(6000)).Stem("loud", Signals.Sine(60, Song.SampleRateHz, 6000))
            .Output("difference").Output("treated");

        var outputs = song.Render();

        Sound.AssertEqual(Signals.Silence(6000, 2), outputs["difference"]);
        Sound.AssertEqual(song.Stems["a"], outputs["treated"]);
    }

    //  a --> 12.5 later --> 2 earlier --+
    //   \--> 10.5 later --> polarity ---+--> mix
    [Fact]
    public void MovingThereAndPartOfTheWayBackIsMovingTheRestOfTheWay()
    {
        var song = new Song("""
            "there": { "type": "chain", "in": "a", "steps": [{ "type": "delay", "delayFrames": 12.5 }, { "type": "delay", "delayFrames": -2 }] },
            "straight": { "type": "chain", "in": "a", "steps": [{ "type": "delay", "delayFrames": 10.5 }, { "type": "polarity" }] },
            "difference": { "type": "mix", "in": ["there", "straight"] }
            """).Stem("a", Signals.Noise(2000)).Output("difference").Output("straight");

        var outputs = song.Render();

        Sound.AssertEqual(Signals.Silence(2000), outputs["difference"]);
        Assert.InRange(Signals.Peak(outputs["straight"]), 0.1, 2);
    }

    //  a -----------------------> keyed --> out        the key is 700 frames late: were the signal
    //   \--> late 700 --key--------^                   not held back, the product would not be a square
    [Fact]
    public void AKeyMeetsTheSignalItBelongsTo()
    {
        var song = new Song("""
            "steering": { "type": "late", "in": "a", "latencyFrames": 700 },
            "keyed": { "type": "keyed", "in": "a", "key": "steering" }
            """).Stem("a", Signals.Noise(3000)).Output("keyed");

        Sound.AssertEqual(Signals.Fill(1, 3000, (_, frame) => song.Stems["a"][0][frame] * song.Stems["a"][0][frame]), song.Render()["keyed"]);
    }
}
