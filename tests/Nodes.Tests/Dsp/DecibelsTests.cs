using CsCheck;
using RenderGraph.Nodes.Dsp;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

public class DecibelsTests
{
    [Theory]
    [InlineData(20, 10)]
    [InlineData(-20, 0.1)]
    [InlineData(40, 100)]
    [InlineData(-120, 1e-6)]
    [InlineData(6, 1.9952623149688797)]
    public void TwentyDecibelsAreAFactorOfTen(double db, double amplitude)
    {
        // The definition of the decibel for amplitudes (ISO 80000-8): 20 log10 of the ratio.
        Assert.InRange(Decibels.ToAmplitude(db) / amplitude, 1 - 1e-14, 1 + 1e-14);
        Assert.Equal(db, Decibels.FromAmplitude(amplitude), 12);
    }

    [Fact]
    public void ZeroDecibelsAreExactlyUnity()
    {
        Assert.Equal(1, Decibels.ToAmplitude(0));
        Assert.Equal(1, Decibels.ToAmplitude(-0.0));
        Assert.Equal(0, Decibels.FromAmplitude(1));
    }

    [Theory]
    [InlineData(0.0)]
    [InlineData(1e-30)]
    [InlineData(-1e-30)]
    public void SilenceIsTheFloor(double amplitude) => Assert.Equal(Decibels.Floor, Decibels.FromAmplitude(amplitude));

    [Fact]
    public void PolarityDoesNotMatter() => Assert.Equal(Decibels.FromAmplitude(0.3), Decibels.FromAmplitude(-0.3));

    [Fact]
    public void NotANumberIsNotHidden()
    {
        Assert.True(double.IsNaN(Decibels.FromAmplitude(double.NaN)));
        Assert.True(double.IsNaN(Decibels.ToAmplitude(double.NaN)));
    }

    [Fact]
    public void ThereAndBackIsTheSameLevel() =>
        Gen.Double[-390, 390].Sample(db => Math.Abs(Decibels.FromAmplitude(Decibels.ToAmplitude(db)) - db) < 1e-11);
}
