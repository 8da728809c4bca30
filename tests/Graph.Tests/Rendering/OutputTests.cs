using CsCheck;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Rendering;

public class OutputTests
{
    //  a --> late --> slow
    //   \-----------> dry (with a tail)
    [Fact]
    public void EveryOutputStartsWithTheSongHoweverLateItsPathIs()
    {
        var song = new Song("""
            "slow": { "type": "late", "in": "a", "latencyFrames": 1000 }
            """).Stem("a", Signals.Noise(500)).Output("slow").Output("a", "dry", "\"tailMs\": 10");

        var outputs = song.Render();

        Sound.AssertEqual(song.Stems["a"], outputs["slow"]);
        Sound.AssertEqual(Signals.WithTail(song.Stems["a"], 80), outputs["dry"]);
    }

    [Fact]
    public void StemsStartWhereTheySaySilenceBeforeAndWhatLiesBeforeTheSongIsCutOff()
    {
        var song = new Song("")
            .Stem("later", Signals.Noise(100, seed: 1), "\"startMs\": 5").Stem("earlier", Signals.Noise(100, seed: 2), "\"startMs\": -5")
            .Output("later").Output("earlier");

        var outputs = song.Render();

        Sound.AssertEqual(Signals.Fill(1, 140, (_, frame) => frame < 40 ? 0 : song.Stems["later"][0][frame - 40]), outputs["later"]);
        Sound.AssertEqual(Signals.Fill(1, 140, (_, frame) => frame < 60 ? song.Stems["earlier"][0][frame + 40] : 0), outputs["earlier"]);
    }

    [Fact]
    public void MonoIntoStereoIsTheSameOnBothSidesAndStereoIntoMonoHalfOfEach()
    {
        var song = new Song("")
            .Stem("one", Signals.Noise(3000, seed: 1)).Stem("two", Signals.Noise(3000, seed: 2, channels: 2))
            .Output("one", "wide", "\"channels\": \"stereo\"").Output("two", "narrow", "\"channels\": \"mono\"");

        var outputs = song.Render();

        Sound.AssertEqual(Signals.Stereo(song.Stems["one"], song.Stems["one"]), outputs["wide"]);
        Sound.AssertEqual(Signals.Fill(1, 3000, (_, frame) => (song.Stems["two"][0][frame] + song.Stems["two"][1][frame]) / 2), outputs["narrow"]);
    }

    [Fact]
    public void AMonoStemEntersAStereoSumOnBothSidesAtUnityAndABypassedMixSumsAtUnity()
    {
        var song = new Song("""
            "mix": { "type": "mix", "gainDb": -20, "in": ["one", { "from": "two", "gainDb": -10 }], "bypass": true }
            """).Stem("one", Signals.Noise(300, seed: 1)).Stem("two", Signals.Noise(300, seed: 2, channels: 2)).Output("mix");

        Sound.AssertEqual(
            Signals.Fill(2, 300, (channel, frame) => song.Stems["one"][0][frame] + song.Stems["two"][channel][frame]), song.Render()["mix"]);
    }

    [Fact]
    public void APartIsTheSamePartOfTheWhole() =>
        Gen.Select(RandomSong.Any, Gen.Int[0, 800], Gen.Int[0, 800]).Sample((song, from, length) =>
        {
            var plan = song.Plan();
            var whole = song.Render(new() { ThreadCount = 1, BlockFrames = 100 }, plan);
            var part = song.Render(
                new() { ThreadCount = 2, BlockFrames = 64, FromSeconds = from / 8000.0, ToSeconds = (from + length) / 8000.0 }, plan);
            foreach (var (name, signal) in whole)
            {
                var (start, end) = (Math.Min(from, signal.Frames), Math.Min(from + length, signal.Frames));
                Sound.AssertEqual(signal.Slice(start, end - start), part[name], name);
            }
        }, iter: 150, threads: 1, print: sample => $"{sample.Item1} from {sample.Item2}, {sample.Item3} frames");

    [Fact]
    public void AWriterIsToldWhereInTheSongItsPartLies()
    {
        var song = new Song("").Stem("a", Signals.Noise(800)).Output("a", "\"encoding\": \"pcm16\", \"channels\": \"stereo\"");
        var formats = new List<OutputFormat>();

        song.RenderInto(new WatchedFiles(song.Files(), formats), new() { FromSeconds = 0.05, ToSeconds = 0.075 });

        Assert.Equal([new OutputFormat("a", "a", 8000, 2, SampleEncoding.Pcm16, FirstFrame: 400, LengthFrames: 200)], formats);
    }

    [Fact]
    public void ASongOfNothingGivesEmptyOutputs()
    {
        var song = new Song("""
            "lane": { "type": "lane", "in": "empty" },
            "listener": { "type": "listener", "in": "lane", "key": "cut" }
            """).Stem("empty", Signals.Silence(0)).Stem("cut", Signals.Noise(100), "\"startMs\": -20").Output("listener").Output("cut", "tail", "\"tailMs\": 1");

        var outputs = song.Render();

        Assert.Equal(0, outputs["listener"].Frames);
        Sound.AssertEqual(Signals.Silence(8), outputs["tail"]);
    }

    [Fact]
    public void SilenceThenSoundThenSilenceIsWorkedOutAsIfNothingWereSpared()
    {
        // Blocks of 64 frames: many are silent before, between and after; lanes come to rest and wake up again.
        var sound = Signals.Fill(1, 4000, (_, frame) => frame is (> 1000 and < 1100) or (> 2500 and < 2503) ? 0.5 + (frame % 7) : 0);
        var song = new Song("""
            "late": { "type": "late", "in": "a", "latencyFrames": 130 },
            "lane": { "type": "lane", "in": "late" },
            "sum": { "type": "sum", "in": ["lane", "a"] },
            "filtered": { "type": "lowPass", "in": "sum", "frequencyHz": 200 }
            """).Stem("a", sound).Output("sum").Output("filtered");

        var given = song.Render(new() { ThreadCount = 2, BlockFrames = 64 });

        var expected = song.Render(new() { ThreadCount = 1, BlockFrames = 65536 }); // one block with sound in it: nothing to spare
        Sound.AssertEqual(expected["sum"], given["sum"]);
        Sound.AssertEqual(expected["filtered"], given["filtered"]);
        Assert.InRange(Signals.Peak(given["filtered"].Slice(1200, 100)), 1e-6, 10); // the filter rings on
    }

    private sealed class WatchedFiles(IAudioFiles files, List<OutputFormat> formats) : IAudioFiles
    {
        public IStemReader? OpenStem(StemRequest request, StemReport report) => files.OpenStem(request, report);

        public IStemReader ConvertRate(IStemReader stem, int sampleRateHz) => files.ConvertRate(stem, sampleRateHz);

        public IOutputWriter CreateOutput(OutputFormat format)
        {
            formats.Add(format);
            return files.CreateOutput(format);
        }
    }
}
