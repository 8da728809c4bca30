using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Checks;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Checks;

public sealed class NullTestTests
{
    private const int Rate = MeasuredSong.SampleRateHz;
    private static readonly Signal One = Signals.Noise(3 * Rate, 1, 0.3), Other = Signals.Sine(55, Rate, 3 * Rate, 0.3);

    [Fact]
    public void TheSumAgainstItselfLeavesNothing()
    {
        var test = Measure(MeasuredSong.Sum(One, Other));
        Assert.True(test.ResidualDb < -150, $"{test.ResidualDb}");
        Assert.Equal(0, test.BestGainDb!.Value, 1e-9);
        Assert.Equal(0, test.LengthDifferenceSeconds);
    }

    [Fact]
    public void AGainIsToldApartFromADifference()
    {
        // A mix 6 dB down leaves as much as it holds: 2x - x.
        var test = Measure(MeasuredSong.Scaled(MeasuredSong.Sum(One, Other), 0.5));
        Assert.Equal(0, test.ResidualDb, 1e-6);
        Assert.Equal(-6.02, test.BestGainDb!.Value, 0.001);
        Assert.True(test.ResidualAtBestGainDb < -150);
    }

    [Fact]
    public void WhereItIsWorstIsToldToTheSecond()
    {
        var mix = MeasuredSong.Sum(One, Other);
        for (var frame = (int)(1.2 * Rate); frame < 1.7 * Rate; frame++)
            mix[0][frame] += 0.1;
        var test = Measure(mix);
        Assert.Equal(1, test.WorstSeconds);
        Assert.Equal(0.1, Math.Pow(10, test.ResidualPeakDbfs / 20), 1e-9);
    }

    [Fact]
    public void AMixOfNothingAndALongerMixAreAnsweredToo()
    {
        Assert.Equal(200, Measure(Signals.Silence(3 * Rate)).ResidualDb);
        Assert.Equal(1, Measure(Signals.WithTail(MeasuredSong.Sum(One, Other), Rate)).LengthDifferenceSeconds);
    }

    private static NullTest Measure(Signal mix)
    {
        var stems = MeasuredSong.Stems(Rate, ("one", One), ("other", Other), ("mix", mix));
        return NullTest.Measure([stems[0], stems[1]], stems[2].Reader, 2, default);
    }
}
