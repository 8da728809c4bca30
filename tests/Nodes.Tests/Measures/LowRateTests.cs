using RenderGraph.Nodes.Measures;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures;

public sealed class LowRateTests
{
    [Theory]
    [InlineData(8000)]
    [InlineData(44100)]
    [InlineData(48000)]
    [InlineData(192000)]
    public void TheLowEndPassesAndWhatWouldFoldOntoItDoesNot(int sampleRateHz)
    {
        var rateHz = new LowRate(sampleRateHz).RateHz;
        Assert.InRange(rateHz, 2000, 4000);
        foreach (var frequencyHz in new[] { 20.0, 50, 100, 200, 300 })
        {
            Assert.InRange(GainDb(frequencyHz, frequencyHz, sampleRateHz), -1, 0.01);
            for (var image = 1; image < 4 && (image * rateHz) + frequencyHz < sampleRateHz / 2.0; image++)
            {
                Assert.InRange(GainDb((image * rateHz) - frequencyHz, frequencyHz, sampleRateHz), -400, -44);
                Assert.InRange(GainDb((image * rateHz) + frequencyHz, frequencyHz, sampleRateHz), -400, -44);
            }
        }
    }

    [Fact]
    public void ASampleStandsWhereItSaysItDoes()
    {
        var low = new LowRate(48000);
        var into = new double[low.MostSamples(48000)];
        var count = low.Process(Signals.Impulse(48000, at: 24000)[0], into);
        Assert.Equal(48000 / low.Factor, count);
        var centre = Enumerable.Range(0, count).Sum(index => index * into[index]) / into.Take(count).Sum();
        Assert.Equal(24000, (centre * low.Factor) - low.LagFrames, 1e-6);
    }

    private static double GainDb(double frequencyHz, double heardHz, int sampleRateHz)
    {
        var low = new LowRate(sampleRateHz);
        var into = new double[low.MostSamples(sampleRateHz)];
        var count = low.Process(Signals.Sine(frequencyHz, sampleRateHz, sampleRateHz)[0], into);
        return Spectrum.ToDb(Spectrum.AmplitudeAt(into.AsSpan(count / 10, count * 8 / 10), heardHz, low.RateHz));
    }
}
