using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.LowEnd;

public sealed class LowEndMapTests
{
    private const int Rate = MeasuredSong.SampleRateHz;
    private static readonly double HalfPowerDb = 10 * Math.Log10(0.5);

    [Theory]
    [InlineData(25, 0)]
    [InlineData(45, 1)]
    [InlineData(90, 2)]
    [InlineData(200, 3)]
    public void ASineStandsAtItsLevelInItsRangeAndNowhereElse(double frequencyHz, int range)
    {
        var lowEnd = Measure(("sine", Signals.Sine(frequencyHz, Rate, 8 * Rate, 0.5))).LowEnd;
        var expected = HalfPowerDb + (20 * Math.Log10(0.5));
        Assert.Equal(expected, lowEnd.LevelDbfs!.Value, 0.15);
        Assert.Equal(expected, lowEnd.RangesDbfs[range]!.Value, 0.2);
        for (var other = 0; other < 4; other++)
            Assert.True(other == range || lowEnd.RangesDbfs[other] is not { } leaked || leaked < expected - 20, $"range {other}: {lowEnd.RangesDbfs[other]}");
        Assert.Equal(expected, 10 * Math.Log10(lowEnd.BandsDbfs.Sum(level => Math.Pow(10, (level ?? -400) / 10))), 0.15);
        Assert.Equal(1, lowEnd.Share, 1e-9);
    }

    [Fact]
    public void SharesAreThoseOfPowerAndMutedStemsAreLeftOut()
    {
        var stems = MeasuredSong.Stems(Rate, ("loud", Signals.Sine(50, Rate, 4 * Rate, 0.4)), ("soft", Signals.Sine(80, Rate, 4 * Rate, 0.2)), ("muted", Signals.Sine(60, Rate, 4 * Rate, 0.4)));
        using var map = LowEndMap.Measure([stems[0], stems[1], stems[2] with { IsMuted = true }], Rate, 2, default);
        Assert.Equal(0.8, map.Stems[0].LowEnd.Share, 0.002);
        Assert.Equal(0.2, map.Stems[1].LowEnd.Share, 0.002);
    }

    [Fact]
    public void AnOffsetIsDcAndNothingElse()
    {
        var stem = Measure(("offset", Signals.Fill(1, 6 * Rate, (_, frame) => 0.01 + (0.1 * Math.Sin(2 * Math.PI * 100 * frame / Rate)))));
        Assert.Equal(-40, stem.LowEnd.DcDbfs!.Value, 0.05);
        Assert.True(stem.LowEnd.SubsonicDbfs is null or < -60, $"{stem.LowEnd.SubsonicDbfs}");
    }

    [Fact]
    public void SoundUnderTwentyHertzIsSubsonic()
    {
        var lowEnd = Measure(("rumble", Signals.Sine(12, Rate, 8 * Rate, 0.1))).LowEnd;
        Assert.Equal(HalfPowerDb - 20, lowEnd.SubsonicDbfs!.Value, 0.3);
        Assert.True(lowEnd.LevelDbfs is null or < -55, $"{lowEnd.LevelDbfs}");
    }

    [Theory]
    [InlineData(0, 0, 0)]
    [InlineData(90, 0.5, -3.01)]
    [InlineData(120, 0.75, -6.02)]
    public void WidthAndMonoLossFollowThePhaseBetweenTheSides(double degrees, double sideShare, double monoLossDb)
    {
        // Of two equal sides phi apart, the mid has cos^2(phi/2) of the power, the side the rest.
        var stereo = Signals.Stereo(Signals.Sine(60, Rate, 6 * Rate, 0.3), Signals.Sine(60, Rate, 6 * Rate, 0.3, degrees * Math.PI / 180));
        var lowEnd = Measure(("wide", stereo)).LowEnd;
        Assert.Equal(sideShare, lowEnd.SideShare!.Value, 0.005);
        Assert.Equal(monoLossDb, lowEnd.MonoLossDb!.Value, 0.05);
    }

    [Fact]
    public void OneSideUpsideDownLeavesNothingInMono()
    {
        var sine = Signals.Sine(60, Rate, 6 * Rate, 0.3);
        var stem = Measure(("inverted", Signals.Stereo(sine, MeasuredSong.Scaled(sine, -1))));
        Assert.True(stem.LowEnd.MonoLossDb < -100, $"{stem.LowEnd.MonoLossDb}");
        Assert.Equal(-1, stem.Facts.LeftRightCorrelation!.Value, 1e-9);
        Assert.Contains(stem.LowEnd.Notes, note => note.Midi == 35);
    }

    [Fact]
    public void ThreadsChangeNoFigure()
    {
        var stems = MeasuredSong.Stems(
            Rate, [.. Enumerable.Range(0, 7).Select(index => ($"stem{index}", Signals.Noise((2 * Rate) + (1000 * index), index + 1, channels: 1 + (index % 2))))]);
        using var one = LowEndMap.Measure(stems, Rate, 1, default);
        foreach (var threads in (int[])[2, 3, 8])
        {
            using var many = LowEndMap.Measure(stems, Rate, threads, default);
            foreach (var (expected, found) in one.Stems.Zip(many.Stems))
            {
                Assert.Equal(expected.Facts, found.Facts);
                Assert.Equal(expected.LowEnd.BandsDbfs, found.LowEnd.BandsDbfs);
                Assert.Equal(expected.LowEnd.MonoLossDb, found.LowEnd.MonoLossDb);
                Assert.Equal(expected.LowEnd.Notes, found.LowEnd.Notes);
            }
        }
    }

    [Theory]
    [InlineData(8000)]
    [InlineData(22050)]
    [InlineData(44100)]
    [InlineData(96000)]
    [InlineData(192000)]
    public void AnyRateGivesTheSameMap(int rate)
    {
        var stems = MeasuredSong.Stems(rate, ("bass", Signals.Sine(55, rate, 4 * rate, 0.5)));
        using var map = LowEndMap.Measure(stems, rate, 2, default);
        Assert.Equal(HalfPowerDb + (20 * Math.Log10(0.5)), map.Stems[0].LowEnd.LevelDbfs!.Value, 0.15);
        var note = Assert.Single(map.Stems[0].LowEnd.Notes);
        Assert.Equal(55, note.FrequencyHz, 0.15);
    }

    [Fact]
    public void SilenceShortStemsAndNoStemsAreMeasuredToo()
    {
        using var none = LowEndMap.Measure([], Rate, 2, default);
        Assert.Empty(none.Stems);

        using var map = MeasuredSong.Measure(("silence", Signals.Silence(Rate)), ("click", Signals.Impulse(40)), ("nothing", Signals.Silence(0)));
        Assert.True(map.Stems[0].Facts.IsSilent);
        Assert.Null(map.Stems[0].LowEnd.LevelDbfs);
        Assert.Null(map.Stems[0].LowEnd.MonoLossDb);
        Assert.Equal((0, 0), (map.Stems[1].Facts.FirstSoundFrame, map.Stems[1].Facts.LastSoundFrame));
        Assert.True(map.Stems[2].Facts.IsSilent);
    }

    [Fact]
    public void StartAndSilenceAroundAStemAreToldInTheSongsFrames()
    {
        var files = MeasuredSong.Stems(Rate, ("late", Signals.WithTail(Signals.Sine(60, Rate, Rate, 0.5, Math.PI / 2), Rate)))[0];
        using var map = LowEndMap.Measure([files with { StartFrame = 12345 }], Rate, 2, default);
        Assert.Equal(12345, map.Stems[0].Facts.FirstSoundFrame);
        Assert.Equal(12345 + Rate - 1, map.Stems[0].Facts.LastSoundFrame!.Value, 10.0);
        Assert.Equal(12345 + (2 * Rate), map.LengthFrames);
    }

    [Fact]
    public void TheTemporaryFileIsGoneAfterwards()
    {
        var before = Directory.GetFiles(Path.GetTempPath(), "tmp*.tmp").ToHashSet();
        using (MeasuredSong.Measure(("bass", Signals.Sine(55, Rate, Rate))))
        {
        }

        Assert.DoesNotContain(Directory.GetFiles(Path.GetTempPath(), "tmp*.tmp"), path => !before.Contains(path) && IsOurs(path));

        // Other tests make temporary files at the same time: ours would be 6 kB.
        static bool IsOurs(string path) => File.Exists(path) && new FileInfo(path).Length == 1500 * sizeof(float);
    }

    private static MeasuredStem Measure((string Name, Signal Samples) stem)
    {
        using var map = MeasuredSong.Measure(stem);
        return map.Stems[0];
    }
}
