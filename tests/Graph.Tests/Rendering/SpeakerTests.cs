using RenderGraph.Graph.Document;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Rendering;

public class SpeakerTests
{
    [Fact]
    public void APreviewIsTheMixThroughTheModelAtTheLevelThatTheMixWasGiven()
    {
        var outputs = new Song("""
            "mix": { "type": "mix", "in": ["a", "b"] },
            "model": { "type": "highPass", "in": "mix", "frequencyHz": 300, "slopeDbPerOctave": 24 }
            """).Stem("a", Signals.Noise(8000, 1)).Stem("b", Signals.Noise(8000, 2, channels: 2))
            .Output("mix", "loud", "\"loudnessLufs\": -20").Output("mix", "plain", "").Output("model", "modelled", "")
            .Output("mix", "preview", "\"speakerHz\": 300").Output("mix", "loudPreview", "\"speakerHz\": 300, \"gainOf\": \"loud\"")
            .Output("mix", "own", "\"speakerHz\": 300, \"loudnessLufs\": -20").Render();

        var gain = outputs["loud"][0][4000] / outputs["plain"][0][4000];
        Assert.InRange(Math.Abs(gain - 1), 0.01, 100);
        Assert.InRange(Signals.LargestDifference(outputs["modelled"], outputs["preview"]), 0, 1e-12);
        var expected = Signals.Fill(2, 8000, (channel, frame) => gain * outputs["modelled"][channel][frame]);
        Assert.InRange(Signals.LargestDifference(expected, outputs["loudPreview"]), 0, 1e-12);
        Assert.InRange(Signals.LargestDifference(expected, outputs["own"]), 0, 1e-12);
    }

    //  sub --> lean --> warm --> mix; grit --> bypassed saturation --> mix
    [Theory]
    [InlineData("\"speakerHz\": 150", "", "warm.2 warm.1")]
    [InlineData("", "\"speaker500LossLu\"", "lean warm.1 warm.2")]
    [InlineData("", "\"integratedLufs\"", "lean")]
    public void WhoCaresForSmallSpeakersIsToldWhatSaturationDoesForThem(string output, string measure, string points)
    {
        var measured = new Song($$"""
            "lean": { "type": "highPass", "in": "sub", "frequencyHz": 30{{(measure.Length == 0 ? "" : $", \"measure\": [{measure}]")}} },
            "warm": { "type": "chain", "in": "lean", "steps": [{ "type": "gain", "gainDb": 1 }, { "type": "saturate" }] },
            "off": { "type": "saturate", "in": "grit", "bypass": true },
            "mix": { "type": "mix", "in": ["warm", "off"] }
            """).Stem("sub", Signals.Noise(800)).Stem("grit", Signals.Noise(800)).Output("mix", output).Document.Measured;

        var expected = points.Split(' ').Order(StringComparer.Ordinal);
        Assert.Equal(expected, measured.Where(point => point.Kind == PointKind.Signal).Select(point => point.Name).Order(StringComparer.Ordinal));
        Assert.All(measured.Where(point => point.Name.StartsWith("warm", StringComparison.Ordinal)), point => Assert.Equal(6, point.Measures.Count));
    }
}
