using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Comparing;
using RenderGraph.Nodes.Measures.Limiting;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Comparing;

/// <summary>Songs made of a kick of 50 Hz that strikes twice a second, a bass of 55 Hz and a whistle of 1 kHz, whose levels are known.</summary>
public sealed class SongComparerTests
{
    private const int RateHz = 48000, Frames = 8 * RateHz;

    private static readonly long[] Hits = [.. Enumerable.Range(0, 15).Select(hit => (hit + 1L) * RateHz / 2)];

    private static readonly Signal Kick = Signals.Fill(1, Frames, (_, frame) =>
    {
        var since = frame % (RateHz / 2) / (double)RateHz;
        return frame < RateHz / 2 ? 0 : 0.5 * Math.Exp(-since / 0.08) * Math.Sin(2 * Math.PI * 50 * since);
    });

    private static readonly Signal Bass = Signals.Sine(55, RateHz, Frames, 0.2), Whistle = Signals.Sine(1000, RateHz, Frames, 0.1);

    [Fact]
    public void OfTheSameSongNothingIsLeftAndNothingHasChanged()
    {
        var song = Sum((Kick, 1), (Bass, 1), (Whistle, 1));
        var change = Compare(song, song);
        Assert.Equal(SongComparer.NothingLeftDb, Between(change, SongComparer.ResidueAsIs));
        Assert.Equal((VerdictKind.DidNotHelp, "nothing has changed"), (change.Verdict.Kind, change.Verdict.Reason));
    }

    [Fact]
    public void AGainIsToldAndTakenOut()
    {
        var song = Sum((Kick, 1), (Bass, 1), (Whistle, 1));
        var change = Compare(song, Sum((song, 0.5)));
        Assert.Equal(6.0206, Between(change, SongComparer.LoudnessMatch), 0.01); // 20 log10(2); gates count in hundredths
        Assert.Equal(-6.0206, Between(change, SongComparer.ResidueAsIs), 0.0001);
        Assert.Equal(-6.0206, Between(change, SongComparer.BestGain), 0.0001);
        Assert.True(Between(change, SongComparer.ResidueAtBestGain) < -140);
        Assert.Equal(0, Between(change, SongComparer.PeakSaved), 0.02);
        Assert.Equal("nothing has changed", change.Verdict.Reason);
    }

    /// <summary>Two noises of their own: what is left is the second, whatever the gain; and nearly so at the best gain.</summary>
    [Fact]
    public void WhatWasAddedIsLeft()
    {
        var (song, more) = (Signals.Noise(Frames, seed: 1), Signals.Noise(Frames, seed: 2));
        var change = Compare(song, Sum((song, 1), (more, 0.01)));
        Assert.Equal(-40, Between(change, SongComparer.ResidueAsIs), 0.05);
        Assert.Equal(-40, Between(change, SongComparer.ResidueAtBestGain), 0.05);
    }

    [Fact]
    public void EachBandIsComparedByItself()
    {
        var change = Compare(Sum((Bass, 1), (Whistle, 1)), Sum((Bass, 2), (Whistle, 1)));
        Assert.Equal(6.02, After(change, "level30To60Dbfs") - Before(change, "level30To60Dbfs"), 0.01);
        Assert.Equal(0, After(change, "levelAbove300Dbfs") - Before(change, "levelAbove300Dbfs"), 0.01);
        Assert.Equal(-23.01, After(change, "levelAbove300Dbfs"), 0.05); // a sine of 0.1: 20 log10(0.1) - 3.01
    }

    [Fact]
    public void APeakThatIsGoneIsSavedAndHelps()
    {
        var spiky = Signals.Fill(1, Frames, (_, frame) => Whistle[0][frame] + (frame % RateHz == 100 ? 0.4 : 0));
        var change = Compare(spiky, Whistle);
        Assert.InRange(Between(change, SongComparer.PeakSaved), 8, 15);
        Assert.Equal(VerdictKind.Helped, change.Verdict.Kind);
    }

    /// <summary>A limiter that works equally makes any level of one song equally loud, and one without peaks louder.</summary>
    [Fact]
    public void HowLoudItCanGoDependsOnItsPeaksAndNotOnItsLevel()
    {
        var spiky = Sum((Kick, 2), (Whistle, 1));
        var softer = Compare(spiky, Sum((spiky, 0.25)));
        Assert.Equal(Before(softer, LimitedLoudnessMeter.Loudness), After(softer, LimitedLoudnessMeter.Loudness), 0.05);
        var calmer = Compare(spiky, Sum((Kick, 1), (Whistle, 1)));
        Assert.True(After(calmer, LimitedLoudnessMeter.Loudness) > Before(calmer, LimitedLoudnessMeter.Loudness) + 1);
    }

    [Fact]
    public void TwoFilesDoNotTellTheAnchor()
    {
        var change = Compare(Sum((Kick, 1), (Bass, 1)), Sum((Kick, 1), (Bass, 0.5)));
        Assert.Equal("no stems", change.Between.Single(found => found.Name == SongComparer.ClearanceChange).Reason);
        Assert.Equal("no stems", change.Before.Single(found => found.Name == "clearanceDb").Reason);
        Assert.Equal("no stems", change.Between.Single(found => found.Name == SongComparer.PartChange).Reason);
    }

    //                  the kick      the bass
    [Theory]
    [InlineData(1, 0.75, VerdictKind.Helped)]      // -2.5 dB: clearer, and still heard
    [InlineData(1, 0.98, VerdictKind.DidNotHelp)]  // -0.2 dB: nobody hears that
    [InlineData(1, 0.0631, VerdictKind.CostTooMuch)] // -24 dB: the bass is gone
    [InlineData(0.5, 1, VerdictKind.DidNotHelp)]   // the anchor itself is cut
    [InlineData(0.5, 0.3, VerdictKind.DidNotHelp)] // clearer by 4.4 dB, but the anchor is not what it was
    public void TheVerdictFollowsFromWhatWasDone(double kick, double bass, VerdictKind expected)
    {
        var change = CompareParts(kick, bass);
        Assert.Equal(expected, change.Verdict.Kind);
        Assert.Equal(20 * Math.Log10(kick / bass), Between(change, SongComparer.ClearanceChange), 0.05);
        Assert.Equal(20 * Math.Log10(kick), Between(change, SongComparer.AnchorChange) - Between(change, SongComparer.LoudnessMatch), 0.01);
        var part = change.Parts.Single(part => part.Part == "bass");
        Assert.True(part.IsLow);
        Assert.Equal(20 * Math.Log10(bass), part.ChangeLu.Value!.Value, 0.001);
        Assert.False(change.Parts.Single(part => part.Part == "whistle").IsLow);
        Assert.True(Between(change, SongComparer.AnchorResidue) <= -140);
    }

    [Fact]
    public void AnAnchorOfAnotherShapeIsNotUntouched()
    {
        var clipped = Signals.Fill(1, Frames, (_, frame) => Math.Clamp(Kick[0][frame], -0.25, 0.25));
        var change = CompareParts(1, 1, clipped);
        Assert.InRange(Between(change, SongComparer.AnchorResidue), -30, -5);
    }

    /// <summary>The weighting takes 50 Hz down by 4.6 dB against 1 kHz (ITU-R BS.1770-5; as the design's table has it): a part of both at equal power loses, without its 50 Hz, a quarter of what is heard.</summary>
    [Fact]
    public void APartIsWeightedAsTheEarDoes()
    {
        var (low, high) = (Signals.Sine(50, RateHz, Frames, 0.1), Signals.Sine(1000, RateHz, Frames, 0.1));
        var change = Compare(new SongComparer(), [high, Sum((low, 1), (high, 1)), high, Sum((low, 1), (high, 1))], new(RateHz, [1, 1, 1, 1], 4096, null, [new("part")]) { NoAnchor = "none" }, 4096);
        var weight = Math.Pow(10, -0.46);
        Assert.Equal(-10 * Math.Log10(1 + weight), change.Parts.Single().ChangeLu.Value!.Value, 0.05);
    }

    [Theory]
    [InlineData(16)]
    [InlineData(777)]
    [InlineData(48000)]
    public void NothingDependsOnHowTheSongIsCut(int blockFrames)
    {
        var expected = CompareParts(0.9, 0.7, blockFrames: 4096, isForVerdict: true);
        var given = CompareParts(0.9, 0.7, blockFrames: blockFrames, isForVerdict: true);
        Assert.Equal(expected.Before, given.Before);
        Assert.Equal(expected.After, given.After);
        Assert.Equal(expected.Between, given.Between);
        Assert.Equal(expected.Parts, given.Parts);
        Assert.Equal(expected.Verdict.Reason, given.Verdict.Reason);
    }

    private static SongChange CompareParts(double kick, double bass, Signal? shaped = null, int blockFrames = 4096, bool isForVerdict = false)
    {
        var anchor = Sum((shaped ?? Kick, kick));
        var low = Sum((Bass, bass));
        CompareFormat format = new(RateHz, [1, 1, 1, 1, 1, 1, 1, 1], blockFrames, new(Hits, 50, IsHeard: true), [new("bass"), new("whistle")]) { IsForVerdict = isForVerdict };
        return Compare(new SongComparer(), [Sum((anchor, 1), (low, 1), (Whistle, 1)), Sum((Kick, 1), (Bass, 1), (Whistle, 1)), anchor, Kick, low, Bass, Whistle, Whistle], format, blockFrames);
    }

    private static SongChange Compare(Signal before, Signal after) =>
        Compare(new SongComparer(), [after, before], CompareFormat.OfTwo(RateHz, after.Channels, before.Channels, 4096, "no stems"), 4096);

    private static SongChange Compare(SongComparer comparer, Signal[] heard, CompareFormat format, int blockFrames)
    {
        comparer.Prepare(format);
        for (var frame = 0; frame < Frames; frame += blockFrames)
            comparer.Hear([.. heard.Select(signal => signal.Slice(frame, Math.Min(blockFrames, Frames - frame)))]);
        return comparer.Conclude();
    }

    private static Signal Sum(params (Signal Signal, double Gain)[] parts) =>
        Signals.Fill(1, Frames, (_, frame) => parts.Sum(part => part.Gain * part.Signal[0][frame]));

    private static double Between(SongChange change, string name) => change.Between.Single(found => found.Name == name).Value!.Value;

    private static double Before(SongChange change, string name) => change.Before.Single(found => found.Name == name).Value!.Value;

    private static double After(SongChange change, string name) => change.After.Single(found => found.Name == name).Value!.Value;
}
