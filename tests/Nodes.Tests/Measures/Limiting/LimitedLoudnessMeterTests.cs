using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Nodes.Measures.Limiting;
using RenderGraph.Nodes.Tests.Measures.Loudness;
using RenderGraph.Testing;
using Xunit;
using Xunit.Abstractions;

namespace RenderGraph.Nodes.Tests.Measures.Limiting;

/// <summary>What the meter foretells is held against what the limiter itself does at the drive that it found.</summary>
public sealed class LimitedLoudnessMeterTests(ITestOutputHelper output)
{
    private const int SampleRateHz = 48000;
    private const double WorkToleranceDb = 0.2, LoudnessToleranceLu = 0.2;

    public static TheoryData<string, int> Songs =>
        new() { { "kick and bass", 48000 }, { "kick, bass and air", 48000 }, { "kick, bass and air", 44100 }, { "kick, bass and air", 96000 }, { "soft", 48000 }, { "loud noise", 48000 }, { "sparse", 48000 }, { "a recorded kit", 0 } };

    [Theory]
    [MemberData(nameof(Songs))]
    public void TheLimiterDoesTheWorkAndGivesTheLoudnessThatWereForetold(string name, int sampleRateHz)
    {
        var (song, rate) = name == "a recorded kit" ? Kit() : (Song(name, sampleRateHz), sampleRateHz);
        var (lufs, driveDb) = Foretold(song, rate);

        var (workDb, reads) = Limited(song, rate, driveDb, ceilingDbtp: 0);

        output.WriteLine(FormattableString.Invariant($"{name} {rate}: drive {driveDb:0.00} dB, work {workDb:0.00} dB, foretold {lufs:0.00}, reads {reads:0.00} LUFS"));
        Assert.Equal(LimitedLoudnessMeter.WorkDb, workDb, WorkToleranceDb);
        Assert.Equal(reads, lufs, LoudnessToleranceLu);
    }

    [Fact]
    public void ComparesTwoSongsAtOneCeilingAndOneWorkWhateverTheirLevels()
    {
        var (before, after) = (Song("kick, bass and air", SampleRateHz), MeasuredSong.Scaled(Song("kick and bass", SampleRateHz), 0.2));
        var (was, now) = (Foretold(before, SampleRateHz), Foretold(after, SampleRateHz));

        var (limitedBefore, limitedAfter) = (Limited(before, SampleRateHz, was.DriveDb - 3, -3), Limited(after, SampleRateHz, now.DriveDb - 3, -3));

        Assert.Equal(limitedBefore.WorkDb, limitedAfter.WorkDb, WorkToleranceDb);
        Assert.Equal(limitedAfter.Lufs - limitedBefore.Lufs, now.Lufs - was.Lufs, LoudnessToleranceLu);
    }

    [Fact]
    public void WhatIsTooSoftOrTooShortHasNoAnswer()
    {
        Assert.All(Heard(MeasuredSong.Scaled(Song("kick and bass", SampleRateHz), 1e-4)), found => Assert.Equal("it is too soft, or too seldom loud, for a limiter to do that much", found.Reason));
        Assert.All(Heard(Signals.Noise(SampleRateHz / 10)), found => Assert.Equal("it lasts 0.1 s, and 0.4 s are needed", found.Reason));
        Assert.All(Heard(Signals.Impulse(10 * SampleRateHz, at: SampleRateHz)), found => Assert.Null(found.Value));
    }

    private static (double Lufs, double DriveDb) Foretold(Signal song, int rate)
    {
        var found = Heard(song, rate);
        return (found[0].Value!.Value, found[1].Value!.Value);
    }

    private static IReadOnlyList<Measurement> Heard(Signal song, int rate = SampleRateHz)
    {
        const int BlockFrames = 4096;
        var meter = LimitedLoudnessMeter.Type.Create(new HashSet<string> { LimitedLoudnessMeter.Loudness, LimitedLoudnessMeter.Drive });
        meter.Prepare(new(rate, [song.Channels, song.Channels], BlockFrames));
        for (var start = 0; start < song.Frames; start += BlockFrames)
        {
            var block = song.Slice(start, Math.Min(BlockFrames, song.Frames - start));
            meter.Hear([block, block]);
        }

        return meter.Conclude();
    }

    private static (double WorkDb, double Lufs) Limited(Signal song, int rate, double driveDb, double ceilingDbtp)
    {
        var node = NodeFactory.Create(LimitNode.Type, ("ceilingDbtp", ceilingDbtp));
        var latency = node.LatencyFrames(rate);
        var driven = Signals.WithTail(MeasuredSong.Scaled(song, Math.Pow(10, driveDb / 20)), latency);
        var limited = NodeRunner.Run(node, rate, driven);
        return (
            ((IFigureSource)node).Figures.Single(figure => figure.Name == "reduction95Db").Value!.Value,
            Metered.Of(limited.Slice(latency, song.Frames), rate, measures: new HashSet<string> { "integratedLufs" })["integratedLufs"].Value!.Value);
    }

    private static Signal Song(string name, int rate)
    {
        const double Seconds = 12;
        var kick = MeasuredSong.Kick(Seconds, 52, 0.6, MeasuredSong.Beats(0.5, name == "sparse" ? 2.2 : 0.5, name == "sparse" ? 5 : 22), sampleRateHz: rate);
        var air = Signals.Noise(kick.Frames, seed: 3, amplitude: name == "loud noise" ? 0.9 : 0.1, channels: 2);
        return name switch
        {
            "loud noise" => air,
            "soft" => MeasuredSong.Scaled(kick, 0.02),
            "kick and bass" => Signals.Fill(1, kick.Frames, (_, frame) => kick[0][frame] + Bass(frame)),
            _ => Signals.Fill(2, kick.Frames, (channel, frame) => kick[0][frame] + Bass(frame) + air[channel][frame]),
        };

        double Bass(int frame) => 0.25 * Math.Sin(2 * Math.PI * 46 * frame / rate) * (0.6 + (0.4 * Math.Sin(2 * Math.PI * 0.3 * frame / rate)));
    }

    private static (Signal, int) Kit()
    {
        var (kick, rate) = CopperLantern.Read("kick");
        return (kick, rate);
    }
}
