using CsCheck;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Rendering;

public class StemsTests
{
    private const string Stems = "\"kind\": \"stems\", \"channels\": \"stereo\"";

    //  kick ---------------------------------------+
    //   \--> late -> room (grit, 37 frames) -------+
    //  sub --> heard (saturate, oversampled) --+   |
    //  low --> lift --> basses (mix, -1.5 dB) -+---+--> mix (-2 dB) --> meter --> limit --> softer
    private static Song Nested() => new Song("""
        "late": { "type": "late", "in": "kick", "latencyFrames": 37 },
        "heard": { "type": "saturate", "in": "sub", "driveDb": 12 },
        "lift": { "type": "gain", "in": "low", "gainDb": 3 },
        "basses": { "type": "mix", "in": ["heard", { "from": "lift", "gainDb": -4 }], "gainDb": -1.5 },
        "both": { "type": "highPass", "in": "pair", "frequencyHz": 200 },
        "pair": { "type": "mix", "in": ["keys", "low"] },
        "mix": { "type": "mix", "in": ["kick", { "from": "late", "gainDb": -6 }, "basses", { "from": "both", "gainDb": 2 }], "gainDb": -2 },
        "place": { "type": "meter", "in": "mix" },
        "held": { "type": "limit", "in": "place", "ceilingDbtp": -12 },
        "softer": { "type": "gain", "in": "held", "gainDb": -3 }
        """)
        .Stem("kick", Signals.Noise(4000, 1)).Stem("sub", Signals.Noise(3000, 2, channels: 2), "\"startMs\": 20")
        .Stem("low", Signals.Noise(3500, 3)).Stem("keys", Signals.Noise(3900, 4, channels: 2));

    [Fact]
    public void EachStemAfterItsTreatmentIsAFileAndTogetherTheyAreTheMixBeforeMasterProcessing()
    {
        var outputs = Nested().Output("softer", "parts", "\"kind\": \"stems\"").Output("mix").Render();

        Assert.Equal(["mix", "parts.both", "parts.kick", "parts.low", "parts.sub"], outputs.Keys.Order(StringComparer.Ordinal));
        Assert.All(outputs, output => Assert.Equal((2, 4000), (output.Value.Channels, output.Value.Frames)));
        Assert.InRange(Signals.Peak(outputs["mix"]), 0.1, 10);
        AssertAddsUp(outputs, "parts", outputs["mix"]);
    }

    [Fact]
    public void APartHoldsTheGainsOfItsConnectionsAndMixesAndAllThatComesOfItsStem()
    {
        var song = Nested().Output("mix", "parts", "\"kind\": \"stems\"");
        var outputs = song.Render();

        var kick = song.Stems["kick"];
        var expected = Signals.Fill(2, 4000, (_, frame) => Db(-2) * (kick[0][frame] + (Db(-6) * kick[0][frame])));
        Assert.InRange(Signals.LargestDifference(expected, outputs["parts.kick"]), 0, 1e-12);
        var low = song.Stems["low"];
        expected = Signals.Fill(2, 4000, (_, frame) => frame < 3500 ? Db(-2 - 1.5 - 4 + 3) * low[0][frame] : 0);
        Assert.InRange(Signals.LargestDifference(expected, outputs["parts.low"]), 0, 1e-12);
    }

    [Fact]
    public void TellsWhichPointThePartsAddUpToAndWhatComesBehindIt()
    {
        var document = Nested().Output("softer", "parts", "\"kind\": \"stems\"").Document;

        var parts = StemParts.Of(document, document.Outputs[0])!;

        Assert.Equal("place", parts.Point);
        Assert.Equal(["softer", "held"], parts.Behind);
        Assert.Equal(["kick", "sub", "low", "both"], parts.Names);
    }

    [Fact]
    public void StemsTakeOverTheGainThatTheirMixWasGiven()
    {
        var outputs = Nested()
            .Output("mix", "loud", "\"loudnessLufs\": -20").Output("mix", "parts", "\"kind\": \"stems\", \"gainOf\": \"loud\"")
            .Output("mix", "own", "\"kind\": \"stems\", \"loudnessLufs\": -20").Output("mix", "plain", "").Render();

        AssertAddsUp(outputs, "parts", outputs["loud"]);
        AssertAddsUp(outputs, "own", outputs["loud"]);
        Assert.InRange(Signals.LargestDifference(outputs["loud"], outputs["plain"]), 0.01, 10);
    }

    [Fact]
    public void EveryFileOfAnOutputIsMeasuredAndMayHaveAGate()
    {
        var song = Nested().Output("mix", "parts", "\"kind\": \"stems\", \"measure\": [\"samplePeakDbfs\"]")
            .Expect("{ \"measure\": \"samplePeakDbfs\", \"of\": \"parts.kick\", \"atMost\": 0, \"during\": [0, 0.1] }");

        var measures = song.RenderInto(song.Files()).Measures;

        Assert.Equal(
            ["parts.both", "parts.kick", "parts.kick", "parts.low", "parts.sub", "place"], measures.Select(point => point.Point.Name).Order(StringComparer.Ordinal));
        Assert.All(measures.Where(point => point.Point.Kind == PointKind.Output), point => Assert.NotNull(point.Measurements.Single().Value));
    }

    [Fact]
    public void AMutedStemsFileIsSilentSoThatNoOldOneStays()
    {
        var outputs = new Song("\"mix\": { \"type\": \"mix\", \"in\": [\"a\", \"b\"] }")
            .Stem("a", Signals.Noise(100)).Stem("b", Signals.Noise(100, 2), "\"muted\": true").Output("mix", "parts", Stems).Render();

        Assert.Equal(0, Signals.Peak(outputs["parts.b"]));
        Assert.InRange(Signals.Peak(outputs["parts.a"]), 0.1, 1);
    }

    [Fact]
    public void InGraphsOfEveryShapeThePartsAddUpToTheirPoint()
    {
        var (withParts, most) = (0, 0);
        RandomSong.Any.Sample(song =>
        {
            var document = song.Document;
            foreach (var (output, index) in document.Outputs.Select((output, index) => (output, index)).ToList())
            {
                if (StemParts.Of(document, output) is not { } parts)
                    continue;
                song.Output(output.From.Value, $"parts{index}", Stems).Output(parts.Point, $"sum{index}", "\"channels\": \"stereo\"");
            }

            var outputs = song.Render(new() { ThreadCount = 2, BlockFrames = 64 });
            foreach (var name in outputs.Keys.Where(name => name.StartsWith("sum", StringComparison.Ordinal)))
            {
                withParts++;
                most = Math.Max(most, AssertAddsUp(outputs, "parts" + name[3..], outputs[name]));
            }
        }, iter: 300, threads: 1, print: song => song.ToString());

        Assert.InRange(withParts, 50, int.MaxValue);
        Assert.InRange(most, 3, int.MaxValue);
    }

    [Fact]
    public void MixesNestedThousandsDeepAreOpenedAndEachSignalIsTakenOnce()
    {
        // Each mix takes the one before twice: 2^2000 ways lead down to the stem.
        var nodes = string.Join(",\n", Enumerable.Range(1, 2000).Select(index => $"\"m{index}\": {{ \"type\": \"mix\", \"in\": [\"m{index - 1}\", \"m{index - 1}\"], \"gainDb\": -6.020599913279624 }}"));
        var outputs = new Song("\"m0\": { \"type\": \"mix\", \"in\": [\"a\", \"b\"] },\n" + nodes)
            .Stem("a", Signals.Noise(64)).Stem("b", Signals.Noise(64, 2)).Output("m2000", "parts", "\"kind\": \"stems\"").Render();

        Assert.Equal(["parts.a", "parts.b"], outputs.Keys.Order(StringComparer.Ordinal));
        Assert.InRange(Signals.LargestDifference(Signals.Noise(64), outputs["parts.a"]), 0, 1e-9);
    }

    /// <returns>The number of parts.</returns>
    private static int AssertAddsUp(IReadOnlyDictionary<string, Signal> outputs, string parts, Signal sum)
    {
        var files = outputs.Where(output => output.Key.StartsWith(parts + ".", StringComparison.Ordinal)).Select(output => output.Value).ToList();
        var added = Signals.Fill(sum.Channels, sum.Frames, (channel, frame) => files.Sum(file => file[channel][frame]));
        Assert.InRange(Signals.LargestDifference(sum, added), 0, 1e-12 * Math.Max(1, Signals.Peak(sum))); // -240 dBFS; -120 was asked for
        return files.Count;
    }

    private static double Db(double decibels) => Math.Pow(10, decibels / 20);
}
