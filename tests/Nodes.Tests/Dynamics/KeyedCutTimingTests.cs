using RenderGraph.Nodes.Dynamics;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dynamics;

/// <summary>When a keyed cut moves.</summary>
public class KeyedCutTimingTests
{
    private const int FramesPerMs = CutProbe.SampleRateHz / 1000, StepFrames = 16;

    [Theory]
    [InlineData(24000, 5, 8)]
    [InlineData(24001, 5, 8)]
    [InlineData(24008, 8, 8)]
    [InlineData(24015, 5, 50)]
    [InlineData(24015, 50, 50)]
    [InlineData(24011, 0.5, 0.5)]
    public void ArrivesWithTheOnsetAndTouchesNothingBeforeItsAttack(int onset, double attackMs, double lookaheadMs)
    {
        var probe = new CutProbe(
            CutProbe.Bursts(1, (onset, 0)), ("attackMs", attackMs), ("lookaheadMs", lookaheadMs), ("listen", KeyRange.All));

        Assert.Equal(6, probe.DepthDb(onset), 0.1);
        var start = onset - (int)(attackMs * FramesPerMs) - StepFrames;
        Assert.True(probe.IsUntouched(0, start));
        Assert.False(probe.IsUntouched(start, onset));
    }

    [Theory]
    [InlineData(30)]
    [InlineData(50)]
    [InlineData(120)]
    public void ArrivesWithTheOnsetWhenOnlyABandIsHeard(double listenHz)
    {
        // A tone that sets in softly, at a zero crossing: its first crest comes a quarter of a period later.
        const int Onset = 24005;
        var key = Signals.Fill(1, 48000, (_, frame) => frame < Onset ? 0 : Math.Sin(2 * Math.PI * listenHz * (frame - Onset) / CutProbe.SampleRateHz));
        var probe = new CutProbe(key, ("listenHz", listenHz));

        Assert.Equal(6, probe.DepthDb(Onset), 0.1);
        Assert.True(probe.IsUntouched(0, Onset - (int)((5 + (250 / listenHz)) * FramesPerMs) - StepFrames));
    }

    [Fact]
    public void ArrivesLateByWhatTheAttackExceedsTheLookahead()
    {
        const int Onset = 24000, Late = 12 * FramesPerMs;
        var probe = new CutProbe(CutProbe.Bursts(1, (Onset, 0)), ("attackMs", 20), ("lookaheadMs", 8), ("listen", KeyRange.All));
        Assert.InRange(probe.DepthDb(Onset), 1, 4);
        Assert.InRange(probe.DepthDb(Onset + Late - (2 * StepFrames)), 5.5, 5.99);
        Assert.Equal(6, probe.DepthDb(Onset + Late + StepFrames), 1e-6);
    }

    [Theory]
    [InlineData(0, 25)]
    [InlineData(40, 40)]
    [InlineData(300, 300)]
    public void StaysDownForTheHoldAfterTheLastLoudPeak(double holdMs, int expectedMs)
    {
        // Full swing throughout, so that the last loud frame is the last of all, at every place in its step.
        for (var onset = 24000; onset < 24000 + StepFrames; onset += 5)
        {
            var last = onset + 4799;
            var key = Signals.Fill(1, 72000, (_, frame) => frame >= onset && frame <= last ? 1 : 0);
            var probe = new CutProbe(key, ("holdMs", holdMs), ("listen", KeyRange.All));

            var end = last + (expectedMs * FramesPerMs);
            for (var frame = onset; frame <= end; frame++)
                Assert.Equal(6, probe.DepthDb(frame), 1e-6);
            Assert.InRange(probe.DepthDb(end + (3 * StepFrames)), 5, 5.9999);
        }
    }

    [Theory]
    [InlineData(5, 5)]
    [InlineData(80, 5)]
    [InlineData(80, 20)]
    [InlineData(1000, 5)]
    public void GivesSixtyThreePercentBackInTheRelease(double releaseMs, double attackMs)
    {
        const int Onset = 24000;
        var probe = new CutProbe(
            CutProbe.Bursts(4, (Onset, 0)), ("releaseMs", releaseMs), ("attackMs", attackMs), ("lookaheadMs", 20), ("holdMs", 40),
            ("softDb", 0), ("listen", KeyRange.All));

        var start = Enumerable.Range(Onset, probe.Frames - Onset).First(frame => probe.DepthDb(frame) < 6 - 1e-9);
        var covered = Enumerable.Range(start, probe.Frames - start).First(frame => probe.DepthDb(frame) < 6 * Math.Exp(-1));
        Assert.Equal(releaseMs, (covered - start) / (double)FramesPerMs, 0.02 * releaseMs + 0.5);
    }

    [Fact]
    public void LetsGoEntirelyAfterTheKeyHasEnded()
    {
        var probe = new CutProbe(CutProbe.Bursts(5, (24000, 0)));

        // Six decibels fall to 1e-7 in 18 releases of 80 ms.
        const int Rest = 24000 + 4800 + (40 + (18 * 80) + 100) * FramesPerMs;
        Assert.False(probe.IsUntouched(24000, Rest - (200 * FramesPerMs)));
        Assert.True(probe.IsUntouched(Rest, probe.Frames));
    }
}
