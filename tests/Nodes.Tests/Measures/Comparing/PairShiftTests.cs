using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Comparing;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Comparing;

public sealed class PairShiftTests
{
    private const int RateHz = 44100;

    private static readonly Signal Song = Signals.Noise(3 * RateHz, seed: 5, channels: 2);

    [Theory]
    [InlineData(0, 1)]
    [InlineData(1, 1)]
    [InlineData(-7, 0.5)]
    [InlineData(480, -1)]
    [InlineData(12005, 0.25)]
    [InlineData(-44100, 1)]
    public void IsFoundToTheFrameAtAnyLevelAndUpsideDown(int shift, double gain)
    {
        var later = Signals.Fill(2, Song.Frames + Math.Max(0, shift), (channel, frame) => frame - shift >= 0 && frame - shift < Song.Frames ? gain * Song[channel][frame - shift] : 0);
        Assert.Equal(shift, Find(Song, later));
        Assert.Equal(-shift, Find(later, Song));
    }

    [Fact]
    public void OfWhatRepeatsTheNearestIsTaken()
    {
        var tone = Signals.Sine(100, RateHz, RateHz);
        Assert.Equal(0, Find(tone, tone));
    }

    [Fact]
    public void OfSilenceThereIsNone()
    {
        Assert.Equal(0, Find(Song, Signals.Silence(RateHz)));
        Assert.Equal(0, Find(Signals.Silence(0), Signals.Silence(0)));
    }

    private static long Find(Signal ours, Signal other)
    {
        var files = new MemoryAudioFiles().With("a", ours, RateHz).With("b", other, RateHz);
        using var a = files.OpenStem(new("a"), (_, _, _, _) => { })!;
        using var b = files.OpenStem(new("b"), (_, _, _, _) => { })!;
        return PairShift.Find(a, b, CancellationToken.None);
    }
}
