using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dynamics;

/// <summary>How a keyed cut finds its threshold, and what a key's level does.</summary>
public class KeyedCutListeningTests
{
    private const int Second = CutProbe.SampleRateHz;

    private static readonly (int Frame, double LevelDb)[] Beat =
        [(Second, -1), (3 * Second / 2, -15), (2 * Second, 0), (3 * Second, 0.5), (7 * Second / 2, -20), (4 * Second, -0.5)];

    [Theory]
    [InlineData(-50, 1e-6)]
    [InlineData(-20, 1e-6)]
    [InlineData(20, 1e-6)]
    [InlineData(-6.02, 0.25)]
    [InlineData(-33.37, 0.25)]
    public void DrawsTheSameCurveAtAnyLevelOfTheStem(double gainDb, double allowedDb)
    {
        // A threshold moved by its step of 0.1 dB moves the depth by no more than 0.1 x 1.5 x 6 / 6 dB in the soft zone, or a step's crest in time.
        var expected = new CutProbe(CutProbe.Bursts(5, Beat));
        var probe = new CutProbe(CutProbe.Bursts(5, [.. Beat.Select(hit => (hit.Frame, hit.LevelDb + gainDb))]));
        for (var frame = Second / 2; frame < probe.Frames; frame += 16)
            Assert.Equal(expected.DepthDb(frame), probe.DepthDb(frame), allowedDb);
        Assert.Equal(expected.Figure("loudHitsDbfs")!.Value + gainDb, probe.Figure("loudHitsDbfs")!.Value, 0.1001);
    }

    [Theory]
    [InlineData(0, 6)]
    [InlineData(-11.5, 6)]
    [InlineData(-15, 3)]
    [InlineData(-16.5, 0.9375)]
    [InlineData(-18.5, 0)]
    public void GrowsThroughTheSoftZoneBelowTheThreshold(double ghostDb, double expectedDb)
    {
        // 3 u^2 - 2 u^3 of 6 dB, u being 1 at -12 dB and 0 at -18 dB.
        const int Ghost = 2 * Second;
        var probe = new CutProbe(CutProbe.Bursts(4, (Second / 2, 0), (Ghost, ghostDb), (3 * Second, 0)), ("listen", KeyRange.All), ("releaseMs", 20));
        Assert.Equal(0, probe.Figure("loudHitsDbfs"));
        Assert.Equal(-12, probe.Figure("thresholdDbfs"));
        Assert.Equal(expectedDb, probe.DepthDb(Ghost + 2400), 0.01);
        if (expectedDb == 0)
            Assert.True(probe.IsUntouched(3 * Second / 2, (3 * Second) - 1000));
    }

    [Fact]
    public void TellsWhatItFoundAndDid()
    {
        var probe = new CutProbe(CutProbe.Bursts(5, Beat), ("depthDb", 9), ("listen", KeyRange.All));
        Assert.Equal(
            ["thresholdDbfs", "loudHitsDbfs", "hitCount", "firstHitSeconds", "deepestCutDb", "activeFraction"],
            ((IFigureSource)probe.Node).Figures.Select(figure => figure.Name));
        Assert.Equal(0, probe.Figure("loudHitsDbfs"));
        Assert.Equal(-12, probe.Figure("thresholdDbfs"));
        Assert.Equal(1, probe.Figure("firstHitSeconds")!.Value, 0.001);
        Assert.Equal(9, probe.Figure("deepestCutDb"));

        // The ghost at -15 dB lies just at half depth or below, that at -20 dB under the zone.
        Assert.InRange(probe.Figure("hitCount")!.Value, 4, 5);
        Assert.InRange(probe.Figure("activeFraction")!.Value, 0.3, 0.9);
    }

    [Fact]
    public void HasNoLoudHitsToTellWithAThresholdOfItsOwnOrASilentKey()
    {
        var absolute = new CutProbe(CutProbe.Bursts(2, Beat[0]), ("thresholdDbfs", -30));
        Assert.False(((IListeningNode)absolute.Node).MustListen);
        Assert.Equal(-30, absolute.Figure("thresholdDbfs"));
        Assert.Null(absolute.Figure("loudHitsDbfs"));
        Assert.Equal(1, absolute.Figure("hitCount"));

        var silent = new CutProbe(Signals.Silence(Second));
        Assert.Null(silent.Figure("thresholdDbfs"));
        Assert.Null(silent.Figure("loudHitsDbfs"));
        Assert.Null(silent.Figure("firstHitSeconds"));
        Assert.Equal(0, silent.Figure("hitCount"));
        Assert.Equal(0, silent.Figure("activeFraction"));
    }

    [Fact]
    public void FollowsTheLoudHitsAndNotTheManyGhosts() =>
        Assert.Equal(0, LoudHitsDbfs(60, (frame, second) => Burst(frame, second % 5 == 0 ? 0 : -10)), 0.1);

    [Fact]
    public void FollowsTheLoudHitsAndNotTheBleedOfALongSong() =>
        Assert.Equal(0, LoudHitsDbfs(120, (frame, second) => second is > 60 and <= 65 ? Burst(frame, 0) : Burst(frame, -34)), 0.1);

    [Fact]
    public void FollowsTheHitsAndNotOneSpike() =>
        Assert.Equal(0, LoudHitsDbfs(40, (frame, second) => second == 20 && frame == 100 ? 30 : Burst(frame, 0)), 0.1);

    [Fact]
    public void HearsASingleHitInALongSilence() =>
        Assert.Equal(-23, LoudHitsDbfs(60, (frame, second) => second == 41 ? Burst(frame, -23) : 0), 0.1);

    [Fact]
    public void HearsASustainedKey() =>
        Assert.Equal(-10, LoudHitsDbfs(5, (frame, _) => Math.Pow(10, -10 / 20.0) * Math.Sin(2 * Math.PI * 50 * frame / Second)), 0.1);

    [Fact]
    public void HearsASongShorterThanAWindow()
    {
        var probe = new CutProbe(Signals.Sine(50, Second, 1000, 0.5), ("listen", KeyRange.All));
        Assert.Equal(-6, probe.Figure("loudHitsDbfs")!.Value, 0.1);
    }

    private static double LoudHitsDbfs(int seconds, Func<int, int, double> key)
    {
        var probe = NodeFactory.Create(KeyedCutNode.Type, ("frequencyHz", 50), ("listen", KeyRange.All));
        var heard = Signals.Fill(1, seconds * Second, (_, frame) => key(frame % Second, frame / Second));
        var listener = (IListeningNode)probe;
        probe.Prepare(new(Second, [new(1), new(1)], 1, heard.Frames));
        listener.Listen(0, heard);
        return listener.Settle();
    }

    // The first 100 ms of a second.
    private static double Burst(int frame, double levelDb) =>
        frame < 4800 ? Math.Pow(10, levelDb / 20) * Math.Sin(2 * Math.PI * 50 * frame / Second) : 0;
}
