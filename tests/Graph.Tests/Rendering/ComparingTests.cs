using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Rendering;

/// <summary>The song beside itself untreated: what a comparer is brought.</summary>
public class ComparingTests
{
    //  kick ------------------+
    //  bass --> late ---------+--> mix --> limit
    //  pads --> bus --> turned-+       (a muted stem that was dropped, too)
    private static readonly Song Treated = new Song("""
        "late": { "type": "late", "in": "bass", "latencyFrames": 33 },
        "turned": { "type": "polarity", "in": "pads" },
        "mix": { "type": "mix", "in": ["kick", { "from": "late", "gainDb": -3 }, "turned", "muted"], "gainDb": -1 },
        "limited": { "type": "limit", "in": "mix", "ceilingDbtp": -3 }
        """)
        .Stem("kick", Signals.Noise(9000, 1)).Stem("bass", Signals.Noise(8000, 2)).Stem("pads", Signals.Noise(9000, 3, channels: 2)).Stem("muted", Signals.Noise(700, 4), "\"muted\": true")
        .Anchor("kick").Output("limited", "mix", "");

    [Fact]
    public void AComparerIsBroughtTheSongTheAnchorAndEachPartAfterAndBefore()
    {
        var heard = Compare(Treated, mostSeconds: null, out var format);
        var gain = Math.Pow(10, -1 / 20.0);
        var (kick, bass, pads) = (Treated.Stems["kick"], Treated.Stems["bass"], Treated.Stems["pads"]);
        AssertClose(heard[0], (channel, frame) => gain * (At(kick, 0, frame) + (Math.Pow(10, -3 / 20.0) * At(bass, 0, frame)) - At(pads, channel, frame)));
        AssertClose(heard[1], (channel, frame) => gain * (At(kick, 0, frame) + At(bass, 0, frame) + At(pads, channel, frame) + At(Treated.Stems["muted"], 0, frame)));
        AssertClose(heard[2], (_, frame) => gain * At(kick, 0, frame));
        AssertClose(heard[3], (_, frame) => gain * At(kick, 0, frame));

        // A gain on the way is told, not worked out.
        Assert.Equal([new ComparedPart("bass", -3), new ComparedPart("pads", 0)], format.Parts);
        AssertClose(heard[4], (_, frame) => At(bass, 0, frame));
        AssertClose(heard[5], (_, frame) => At(bass, 0, frame));
        AssertClose(heard[6], (channel, frame) => -At(pads, channel, frame));
        AssertClose(heard[7], (channel, frame) => At(pads, channel, frame));
    }

    [Fact]
    public void AnAnchorThatIsTreatedTogetherWithOthersCannotBeHeardByItself()
    {
        var song = new Song("""
            "drums": { "type": "mix", "in": ["kick", "snare"] },
            "squeezed": { "type": "limit", "in": "drums", "ceilingDbtp": -6 },
            "mix": { "type": "mix", "in": ["squeezed", "bass"] }
            """).Stem("kick", Signals.Noise(500, 1)).Stem("snare", Signals.Noise(500, 2)).Stem("bass", Signals.Noise(500, 3)).Anchor("kick").Output("mix");
        Compare(song, mostSeconds: null, out var format);
        Assert.Null(format.Anchor);
        Assert.Equal("\"kick\" is treated together with other stems, so it cannot be heard by itself", format.NoAnchor);
        Assert.Equal(["squeezed"], format.Parts.Select(part => part.Name));
    }

    [Fact]
    public void AMutedAnchorIsComparedAsItSteers()
    {
        var song = new Song("""
            "room": { "type": "keyed", "in": "bass", "key": "kick" },
            "mix": { "type": "mix", "in": ["kick", "room"] }
            """).Stem("kick", Signals.Noise(500, 1), "\"muted\": true").Stem("bass", Signals.Noise(500, 3)).Anchor("kick").Output("mix");
        var heard = Compare(song, mostSeconds: null, out var format);
        Assert.False(format.Anchor!.IsHeard);
        AssertClose(heard[2], (_, frame) => At(song.Stems["kick"], 0, frame));
    }

    /// <summary>Only stretches of a long song are heard, of 4 s: here the first and the last 32,000 frames. Each of them is to the bit as in the whole, whatever the blocks and the threads.</summary>
    [Fact]
    public void AStretchIsWhatItIsInTheWholeSong()
    {
        var song = new Song("""
            "late": { "type": "late", "in": "bass", "latencyFrames": 633 },
            "later": { "type": "late", "in": "kick", "latencyFrames": 1500 },
            "mix": { "type": "mix", "in": ["later", "late"] }
            """).Stem("kick", Signals.Noise(100_000, 1)).Stem("bass", Signals.Noise(90_000, 2), "\"startMs\": 500").Anchor("kick").Output("mix").Output("late");
        var whole = Compare(song, mostSeconds: null, out _);
        foreach (var (threads, blockFrames) in new[] { (1, 16), (2, 777), (3, 4096) })
        {
            var heard = Compare(song, 8, out _, new() { ThreadCount = threads, BlockFrames = blockFrames });
            for (var index = 0; index < whole.Count; index++)
            {
                var expected = Signals.Fill(1, 64_000, (_, frame) => whole[index][0][frame < 32_000 ? frame : frame + 36_000]);
                Sound.AssertEqual(expected, heard[index], $"signal {index} with {threads} threads, {blockFrames} frames a block");
            }
        }
    }

    [Theory]
    [InlineData(null)]
    [InlineData(0.5)]
    public void NoOutputChangesByBeingCompared(double? mostSeconds)
    {
        var expected = Treated.Render();
        var document = Treated.Document with { Compared = new("mix", () => new Recorder()) { MostSeconds = mostSeconds } };
        var plan = Planner.Plan(document, Treated.Formats, Song.SampleRateHz);
        Assert.Equal(Treated.Plan().Writes.Single().LatencyFrames, plan.Writes.Single().LatencyFrames);
        Sound.AssertEqual(expected["mix"], Treated.Render(plan: plan)["mix"]);
    }

    [Fact]
    public void ComparedBesideARenderNothingOfTheTreatedSongIsHeldBackForIt()
    {
        var document = Treated.Document with { Compared = new("mix", () => new Recorder()) { MostSeconds = 1 } };
        var plan = Planner.Plan(document, Treated.Formats, Song.SampleRateHz);
        Assert.Equal(Treated.Plan().Steps.OfType<AlignStep>().Select(step => step.Name), plan.Steps.OfType<AlignStep>().Select(step => step.Name).Where(name => !name.Contains("compared", StringComparison.Ordinal)));
    }

    [Fact]
    public void TheSongIsTheOutputThatMostStemsReachWithTheLeastBehindItsMix()
    {
        var song = new Song("""
            "part": { "type": "mix", "in": ["kick", "bass"] },
            "mix": { "type": "mix", "in": ["part", "pads"] },
            "lows": { "type": "lowPass", "in": "mix", "frequencyHz": 300 }
            """).Stem("kick", Signals.Noise(50, 1)).Stem("bass", Signals.Noise(50, 3)).Stem("pads", Signals.Noise(50, 3)).Output("lows", "a", "").Output("part", "b", "").Output("mix", "c", "").Output("kick", "d", "");
        Assert.Equal("c", ComparedSong.OutputOf(song.Document));
        Assert.Null(ComparedSong.OutputOf(new Song("").Stem("kick", Signals.Noise(50, 1)).Output("kick").Document));
    }

    private static List<Signal> Compare(Song song, double? mostSeconds, out CompareFormat format, RenderOptions? options = null)
    {
        var recorder = new Recorder();
        var document = song.Document with { Compared = new(ComparedSong.OutputOf(song.Document)!, () => recorder) { IsAlone = mostSeconds is null, MostSeconds = mostSeconds } };
        song.RenderInto(song.Files(), options, plan: Planner.Plan(document, song.Formats, Song.SampleRateHz));
        format = recorder.Format;
        return recorder.Heard;
    }

    private static double At(Signal signal, int channel, int frame) => frame < signal.Frames ? signal[Math.Min(channel, signal.Channels - 1)][frame] : 0;

    private static void AssertClose(Signal actual, Func<int, int, double> expected) =>
        Assert.InRange(Signals.LargestDifference(Signals.Fill(actual.Channels, actual.Frames, expected), actual), 0, 1e-14);

    private sealed class Recorder : ISongComparer
    {
        private readonly List<List<double[]>> _blocks = [];

        public CompareFormat Format { get; private set; } = null!;

        public List<Signal> Heard => [.. _blocks.Select((blocks, index) =>
        {
            var channels = Format.Channels[index];
            var planes = Enumerable.Range(0, channels).Select(channel => blocks.Where((_, at) => at % channels == channel).SelectMany(block => block).ToArray()).ToList();
            return Signals.Fill(channels, planes[0].Length, (channel, frame) => planes[channel][frame]);
        })];

        public void Prepare(CompareFormat format)
        {
            Format = format;
            _blocks.AddRange(format.Channels.Select(_ => new List<double[]>()));
        }

        public void Hear(ReadOnlySpan<Signal> heard)
        {
            for (var index = 0; index < heard.Length; index++)
            {
                for (var channel = 0; channel < heard[index].Channels; channel++)
                    _blocks[index].Add(heard[index][channel].ToArray());
            }
        }

        public SongChange Conclude() => new([], [], [], [], new(VerdictKind.Helped, "", []));
    }
}
