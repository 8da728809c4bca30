using CsCheck;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Rendering;

public class DeltaTests
{
    private const string Delta = "\"kind\": \"delta\"";

    //  kick ----------------key----+
    //  sub --> heard (saturate) --> room (keyedCut, latency) --> mix --> low (low-pass) , held (limit)
    //  voice --> chain of a high-pass and a late step ----------+
    private static Song Treated(string depthDb = "9", string more = "") => new Song($$"""
        "heard": { "type": "saturate", "in": "sub", "driveDb": 12 },
        "room": { "type": "keyedCut", "in": "heard", "key": "kick", "frequencyHz": 60, "depthDb": {{depthDb}}, "thresholdDbfs": -60{{more}} },
        "lean": { "type": "chain", "in": "voice", "steps": [{ "type": "highPass", "frequencyHz": 200 }, { "type": "late", "latencyFrames": 77 }] },
        "mix": { "type": "mix", "in": ["kick", { "from": "room", "gainDb": -2 }, "lean"], "gainDb": -3 },
        "low": { "type": "lowPass", "in": "mix", "frequencyHz": 120 },
        "held": { "type": "limit", "in": "mix", "ceilingDbtp": -12 }
        """)
        .Stem("kick", Signals.Noise(6000, 1)).Stem("sub", Signals.Sine(60, Song.SampleRateHz, 8000, 0.5)).Stem("voice", Signals.Noise(7000, 3, channels: 2), "\"startMs\": 30");

    [Theory]
    [InlineData("heard", "sub")]
    [InlineData("room", "heard")]
    [InlineData("lean", "voice")]
    [InlineData("lean.2", "lean.1")]
    [InlineData("held", "mix")]
    public void OfANodeAStepOrAChainWhatItGivesAndTheDeltaAreWhatItTakes(string node, string before)
    {
        var outputs = Treated().Output(node, "after", "").Output(before, "before", "").Output(node, "delta", Delta).Render();

        AssertAddsUp(outputs["before"], outputs["after"], outputs["delta"]);
        if (node != "lean.2")
            Assert.InRange(Signals.Peak(outputs["delta"]), 0.01, 10);
    }

    [Theory]
    [InlineData("mix")]
    [InlineData("low")]
    public void OfAMixAndOfWhatItIsListenedThroughItIsTheUntreatedSongLessTheTreatedOne(string point)
    {
        var outputs = Treated().Output(point, "after", "").Output(point, "before", "\"kind\": \"untreated\"").Output(point, "delta", Delta).Render();

        AssertAddsUp(outputs["before"], outputs["after"], outputs["delta"]);
        Assert.InRange(Signals.Peak(outputs["delta"]), 0.01, 10);
    }

    [Theory]
    [InlineData("0", "")]
    [InlineData("9", ", \"bypass\": true")]
    public void ACutThatTakesNothingHasADeltaOfSilence(string depthDb, string more) =>
        Assert.Equal(0, Signals.Peak(Treated(depthDb, more).Output("room", "delta", Delta).Render()["delta"]));

    [Fact]
    public void TakesOverTheGainOfAnotherOutputAndIsMeasured()
    {
        var song = Treated().Output("mix", "loud", "\"loudnessLufs\": -20").Output("mix", "plain", "").Output("mix", "taken", Delta)
            .Output("mix", "delta", Delta + ", \"gainOf\": \"loud\", \"measure\": [\"samplePeakDbfs\"]");
        var files = song.Files();
        var result = song.RenderInto(files);

        var gain = files.Outputs["loud"][0][3000] / files.Outputs["plain"][0][3000];
        Assert.InRange(Math.Abs(gain - 1), 0.01, 100);
        var expected = Signals.Fill(2, 8000, (channel, frame) => gain * files.Outputs["taken"][channel][frame]);
        Assert.InRange(Signals.LargestDifference(expected, files.Outputs["delta"]), 0, 1e-12);
        Assert.Equal(Spectrum.ToDb(Signals.Peak(expected)), result.Measures.Single(point => point.Point.Name == "delta").Measurements.Single(measure => measure.Name == "samplePeakDbfs").Value!.Value, 1e-9);
    }

    [Fact]
    public void InGraphsOfEveryShapeADeltaAndWhatIsLeftAreWhatWasThereInAnyNumberOfThreads() =>
        RandomSong.Any.Sample(song =>
        {
            var document = song.Document;
            foreach (var (output, index) in document.Outputs.Select((output, index) => (output, index)).ToList())
            {
                if (document.Stems.Any(stem => stem.Id == output.From.Value) || Graph.Planning.DeltaPoint.Of(document, output) is not { } point)
                    continue;
                song.Output(output.From.Value, $"delta{index}", Delta + ", \"channels\": \"stereo\"").Output(output.From.Value, $"after{index}", "\"channels\": \"stereo\"")
                    .Output(point.Before ?? point.After, $"before{index}", $"\"channels\": \"stereo\"{(point.Before is null ? ", \"kind\": \"untreated\"" : "")}");
            }

            var outputs = song.Render(new() { ThreadCount = 2, BlockFrames = 64 });
            foreach (var (name, delta) in outputs.Where(output => output.Key.StartsWith("delta", StringComparison.Ordinal)))
                AssertAddsUp(outputs["before" + name[5..]], outputs["after" + name[5..]], delta);
        }, iter: 300, threads: 1, print: song => song.ToString());

    private static void AssertAddsUp(Signal before, Signal after, Signal delta)
    {
        var sum = Signals.Fill(delta.Channels, delta.Frames, (channel, frame) => delta[channel][frame] + after[Math.Min(channel, after.Channels - 1)][frame]);
        var wanted = Signals.Fill(delta.Channels, delta.Frames, (channel, frame) => before[Math.Min(channel, before.Channels - 1)][frame]);
        Assert.InRange(Signals.LargestDifference(wanted, sum), 0, 1e-15 * Math.Max(1, Math.Max(Signals.Peak(before), Signals.Peak(after)))); // -300 dBFS; -120 was asked for
    }
}
