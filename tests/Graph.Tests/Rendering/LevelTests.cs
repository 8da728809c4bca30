using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Measuring;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Nodes;
using RenderGraph.Nodes.Measures.Loudness;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Rendering;

/// <summary>Outputs that are brought to a loudness, in the pass after the one that heard them.</summary>
public class LevelTests
{
    private const int Seconds = 5;

    private static Signal Noise(int seed, int channels = 2) => Signals.Noise(Seconds * Song.SampleRateHz, seed, amplitude: 0.1, channels: channels);

    //  a --> late --> slow --> loud, as it is
    [Theory]
    [InlineData(-14)]
    [InlineData(-30)]
    public void AnOutputReadsTheLoudnessAskedForHoweverLateItsPathIs(double wantedLufs)
    {
        var song = new Song("""
            "slow": { "type": "late", "in": "a", "latencyFrames": 700 }
            """).Stem("a", Noise(1)).Output("slow", "loud", FormattableString.Invariant($"\"loudnessLufs\": {wantedLufs}")).Output("a", "plain", "");
        var outputs = song.Render();
        Assert.Equal(wantedLufs, Lufs(outputs["loud"]), 0.006); // the loudness heard is rounded to 0.01 LU
        AssertGain(song.Stems["a"], outputs["loud"], wantedLufs - Lufs(song.Stems["a"]));
        Sound.AssertEqual(song.Stems["a"], outputs["plain"]);
    }

    [Theory]
    [InlineData(2, "\"channels\": \"mono\"")]
    [InlineData(1, "\"channels\": \"stereo\"")]
    public void ItIsTheFileThatReadsItWithTheChannelsThatItHas(int channels, string more)
    {
        var song = new Song("").Stem("a", Noise(2, channels)).Output("a", $"\"loudnessLufs\": -20, {more}");
        Assert.Equal(-20, Lufs(song.Render()["a"]), 0.006);
    }

    //  a --> loud; b --> low, with the gain of loud
    [Fact]
    public void AnotherOutputTakesTheGainOverAndNotTheLoudness()
    {
        var song = new Song("").Stem("a", Noise(3)).Stem("b", Noise(4, channels: 1)).Output("a", "loud", "\"loudnessLufs\": -14, \"ceilingDbtp\": -3").Output("b", "low", "\"gainOf\": \"loud\"");
        var outputs = song.Render();
        AssertGain(song.Stems["b"], outputs["low"], -14 - Lufs(song.Stems["a"]));
    }

    [Fact]
    public void ACeilingHoldsAfterTheGainAndTheOutputStillStartsWithTheSong()
    {
        var signal = Noise(5);
        signal[0][20_000] = 0.9;
        var song = new Song("").Stem("a", signal).Output("a", "\"loudnessLufs\": -14, \"ceilingDbtp\": -6");
        var result = song.RenderInto(song.Files());
        var read = result.Measures.Single(point => !point.Point.IsUntreated).Measurements.ToDictionary(found => found.Name);
        Assert.InRange(read["truePeakDbtp"].Value!.Value, -6.5, -6);
        Assert.InRange(read["integratedLufs"].Value!.Value, -14.3, -14);
        Assert.Equal(["integratedLufs", "limitedLufs", "limiterDriveDb", "truePeakDbtp"], read.Keys.Order());
        AssertGain(song.Stems["a"].Slice(0, 10_000), song.Render()["a"].Slice(0, 10_000), -14 - Lufs(song.Stems["a"]));
    }

    [Fact]
    public void WhatHasNoLoudnessIsLeftAlone()
    {
        var song = new Song("").Stem("a", Signals.Noise(1000, seed: 6)).Stem("b", Signals.Silence(40_000)).Output("a", "\"loudnessLufs\": -14").Output("b", "\"loudnessLufs\": -14");
        var shortSong = new Song("").Stem("a", Signals.Noise(1000, seed: 6)).Output("a", "\"loudnessLufs\": -14");
        Sound.AssertEqual(shortSong.Stems["a"], shortSong.Render()["a"]);
        Sound.AssertEqual(song.Stems["b"], song.Render()["b"]);
    }

    [Fact]
    public void APartHasTheGainOfTheWhole()
    {
        var song = new Song("").Stem("a", Noise(7)).Output("a", "\"loudnessLufs\": -20");
        var files = song.Files();
        song.RenderInto(files, new() { FromSeconds = 1, ToSeconds = 2 });
        Sound.AssertEqual(song.Render()["a"].Slice(Song.SampleRateHz, Song.SampleRateHz), files.Outputs["a"]);
    }

    [Theory]
    [InlineData(1, 64)]
    [InlineData(3, 777)]
    public void ThreadsAndBlocksChangeNoBit(int threads, int blockFrames)
    {
        var song = new Song("").Stem("a", Noise(8)).Output("a", "\"loudnessLufs\": -12, \"ceilingDbtp\": -6").Output("a", "b", "\"gainOf\": \"a\"");
        var (one, other) = (song.Render(), song.Render(new() { ThreadCount = threads, BlockFrames = blockFrames }));
        Assert.All(one, output => Assert.True(Signals.AreSameBits(output.Value, other[output.Key])));
    }

    private static double Lufs(Signal signal)
    {
        var meters = new MeterSet([LoudnessMeter.Type], new HashSet<string> { "integratedLufs" });
        meters.Prepare(new(Song.SampleRateHz, [signal.Channels], signal.Frames));
        meters.Hear([signal]);
        return meters.Conclude().Single().Value!.Value;
    }

    private static void AssertGain(Signal before, Signal after, double gainDb)
    {
        for (var channel = 0; channel < before.Channels; channel++)
        {
            for (var frame = 0; frame < before.Frames; frame++)
                Assert.Equal(before[channel][frame] * Math.Pow(10, gainDb / 20), after[channel][frame], 0.001 * Math.Pow(10, gainDb / 20) * Math.Max(0.05, Math.Abs(before[channel][frame])));
        }
    }
}
