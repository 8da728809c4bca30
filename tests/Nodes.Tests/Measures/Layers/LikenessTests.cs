using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Layers;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Layers;

public sealed class LikenessTests
{
    private static readonly double[] Times = MeasuredSong.Beats(0.25, 0.5, 12);

    [Theory]
    [InlineData(0)]
    [InlineData(144)]
    [InlineData(-144)]
    [InlineData(37)]
    [InlineData(500)]
    public void FindsDelayAndPolarityOfAShiftedLayerWithinFiveHundredthsOfAMillisecond(int frames)
    {
        var kick = MeasuredSong.Kick(7, 52, 0.7, Times);
        var hit = frames >= 0 ? (Early: kick, Late: MeasuredSong.Later(kick, frames)) : (Early: MeasuredSong.Later(kick, -frames), Late: kick);
        foreach (var sign in (double[])[1, -1])
        {
            var likeness = Compare(hit.Early, MeasuredSong.Scaled(hit.Late, sign * 0.6));
            Assert.Equal(1000.0 * frames / MeasuredSong.SampleRateHz, likeness.DelayMs, 0.05);
            Assert.Equal(sign, likeness.Correlation, 0.01);
        }
    }

    [Fact]
    public void ABassNoteByNoteIsFoundToo()
    {
        var bass = MeasuredSong.Bass(8, 0.5, [.. Enumerable.Range(0, 16).Select(note => (note * 0.5, 0.4, 41.2 * Math.Pow(2, (note * 5 % 12) / 12.0)))]);
        var likeness = Compare(bass, MeasuredSong.Scaled(MeasuredSong.Later(bass, 144), -1));
        Assert.Equal(3, likeness.DelayMs, 0.05);
        Assert.Equal(-1, likeness.Correlation, 0.02);
    }

    [Fact]
    public void DifferentPartsAreNotAlike()
    {
        var likeness = Compare(MeasuredSong.Kick(7, 52, 0.7, Times), MeasuredSong.Bass(7, 0.5, [.. Enumerable.Range(0, 14).Select(note => (note * 0.5, 0.4, 45.0 + (3 * note)))]));
        Assert.True(Math.Abs(likeness.Correlation) < 0.5, $"{likeness.Correlation}");
    }

    [Fact]
    public void SilenceIsLikeNothing()
    {
        var likeness = Compare(MeasuredSong.Kick(3, 52, 0.7, [1]), Signals.Silence(3 * MeasuredSong.SampleRateHz));
        Assert.Equal((0, 0, 0), (likeness.Correlation, likeness.DelayMs, likeness.CorrelationNow));
    }

    private static Likeness Compare(Signal one, Signal other)
    {
        using var map = MeasuredSong.Measure(("one", one), ("other", other));
        return new LikenessSearch(map.Matrix).Of(0, 1);
    }
}
