using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Measuring;

public class MeasuringTests
{
    private const string PlacedSum = "\"measure\": [\"placedSum\"]";

    //  a --> late --> slow (a chain of two) --> out, mono, with a tail
    [Fact]
    public void EveryPointIsHeardFromTheSongsStartHoweverLateItsPathIs()
    {
        var song = new Song($$"""
            "slow": { "type": "chain", "in": "a", {{PlacedSum}}, "steps": [
              { "type": "late", "latencyFrames": 700, {{PlacedSum}} }, { "type": "late", "latencyFrames": 300 } ] },
            "ear": { "type": "meter", "in": "slow", {{PlacedSum}} }
            """).Stem("a", Signals.Noise(2500, channels: 2), PlacedSum).Output("slow", "out", $"\"channels\": \"mono\", \"tailMs\": 10, {PlacedSum}");
        var (stem, mono) = (song.Stems["a"], Signals.Fill(1, 2500, (_, frame) => (song.Stems["a"][0][frame] + song.Stems["a"][1][frame]) * 0.5));

        var measured = Measured(song);

        Assert.Equal(SumMeter.Of(stem), measured["a"], 1e-9);
        Assert.Equal(SumMeter.Of(stem), measured["slow"], 1e-9);
        Assert.Equal(SumMeter.Of(stem), measured["slow.1"], 1e-9);
        Assert.Equal(SumMeter.Of(stem), measured["ear"], 1e-9);
        Assert.Equal(SumMeter.Of(mono), measured["write:out"], 1e-9);
    }

    [Fact]
    public void AnOutputIsHeardToTheEndOfItsTailAndASignalToTheEndOfTheSong()
    {
        var song = new Song("").Stem("a", Signals.Noise(2500), "\"measure\": [\"heardFrames\"]").Output("a", "\"tailMs\": 10, \"measure\": [\"heardFrames\"]");
        Assert.Equal((2500, 2580), (Measured(song)["a"], Measured(song)["write:a"]));
    }

    [Fact]
    public void AMeterHearsTheAnchorInStepWithWhatItMeasuresThoughItIsMuted()
    {
        var song = new Song("""
            "slow": { "type": "late", "in": "a", "latencyFrames": 900, "measure": ["anchorSum"] }
            """).Stem("a", Signals.Noise(2500, seed: 1)).Stem("kick", Signals.Noise(2500, seed: 2), "\"muted\": true").Anchor("kick").Output("slow");
        Assert.Equal(SumMeter.Of(song.Stems["a"], song.Stems["kick"]), Measured(song)["slow"], 1e-9);
    }

    [Fact]
    public void WhatIsMeasuredIsRenderedThoughItReachesNoOutput()
    {
        var song = new Song($$"""
            "aside": { "type": "late", "in": "b", "latencyFrames": 5, {{PlacedSum}} }
            """).Stem("a", Signals.Noise(1000, seed: 1)).Stem("b", Signals.Noise(1000, seed: 2)).Output("a");
        Assert.Equal(SumMeter.Of(song.Stems["b"]), Measured(song)["aside"], 1e-9);
    }

    [Fact]
    public void APartIsMeasuredByItself()
    {
        var song = new Song("""
            "slow": { "type": "late", "in": "a", "latencyFrames": 100 }
            """).Stem("a", Signals.Noise(4000), PlacedSum).Output("slow", PlacedSum);
        var files = song.Files();

        var result = song.RenderInto(files, new() { FromSeconds = 0.1, ToSeconds = 0.3 });

        Assert.Equal([(800, 2400), (800, 2400)], result.Measures.Select(point => ((int)point.FirstFrame, (int)point.EndFrame)));
        Assert.All(result.Measures, point => Assert.Equal(SumMeter.Of(song.Stems["a"].Slice(800, 1600)), point.Measurements[0].Value!.Value, 1e-9));
    }

    /// <summary>What a graph says of an output is what the meter says of the samples that were written.</summary>
    [Theory]
    [InlineData(1, 64)]
    [InlineData(3, 777)]
    public void AnOutputMeasuresLikeTheFileWhateverThreadsAndBlocks(int threads, int blockFrames)
    {
        var song = new Song("""
            "slow": { "type": "late", "in": "a", "latencyFrames": 123 }
            """).Stem("a", Signals.Noise(4 * Song.SampleRateHz, channels: 2)).Output("slow", "\"measure\": true");
        var files = song.Files();
        var result = song.RenderInto(files, new() { ThreadCount = threads, BlockFrames = blockFrames });

        var meters = Graph.Measuring.MeterSet.Usual(Nodes.BuiltInMeters.Catalog);
        var written = files.Outputs["slow"];
        meters.Prepare(new(Song.SampleRateHz, [2], written.Frames));
        meters.Hear([written]);

        Assert.Equal(meters.Conclude(), Assert.Single(result.Measures).Measurements.Where(measurement => measurement.Name != "placedSum"));
    }

    [Fact]
    public void MeasuringChangesNoSample()
    {
        var plain = new Song("").Stem("a", Signals.Noise(3000, channels: 2)).Output("a").Render();
        var heard = new Song("""
            "ear": { "type": "meter", "in": "a" }
            """).Stem("a", Signals.Noise(3000, channels: 2), "\"measure\": true").Output("ear", "a", "\"measure\": true").Render();
        Assert.True(Signals.AreSameBits(plain["a"], heard["a"]));
    }

    [Fact]
    public void FalseMeasuresNothingNotEvenAMeter()
    {
        var song = new Song("""
            "ear": { "type": "meter", "in": "a", "measure": false }
            """).Stem("a", Signals.Noise(100), "\"measure\": false").Output("ear");
        Assert.Empty(song.Plan().Measurings);
    }

    private static Dictionary<string, double> Measured(Song song) => song.RenderInto(song.Files()).Measures.ToDictionary(
        point => (point.Point.Kind == PointKind.Output ? "write:" : "") + point.Point.Name, point => point.Measurements.Single().Value!.Value);
}
