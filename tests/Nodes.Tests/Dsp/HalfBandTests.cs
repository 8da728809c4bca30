using RenderGraph.Nodes.Dsp;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

public class HalfBandTests
{
    [Theory]
    [InlineData(0.2268, 120)]
    [InlineData(0.2268, 80)]
    [InlineData(0.1134, 120)]
    [InlineData(0.0567, 120)]
    [InlineData(0.2, 160)]
    public void StopsAndRipplesByTheAttenuationAskedFor(double passEdge, double attenuationDb)
    {
        var taps = Taps(HalfBand.Design(passEdge, attenuationDb));
        var middle = taps.Length / 2;
        var (passError, stopLevel) = (0.0, 0.0);
        for (var step = 0; step <= 2000; step++)
        {
            var frequency = passEdge * step / 2000;
            passError = Math.Max(passError, Math.Abs(Spectrum.At(taps, frequency, 1).Magnitude - 1));
            stopLevel = Math.Max(stopLevel, Spectrum.At(taps, 0.5 - frequency, 1).Magnitude);
        }

        Assert.True(Spectrum.ToDb(stopLevel) < -attenuationDb, $"stop band {Spectrum.ToDb(stopLevel):F2} dB with {taps.Length} taps");
        Assert.True(Spectrum.ToDb(passError) < -attenuationDb, $"pass band ripples by {Spectrum.ToDb(passError):F2} dB");
        Assert.Equal(0.5, taps[middle]);
    }

    [Fact]
    public void PassesAConstantAtUnity() => Assert.Equal(0.5, HalfBand.Design(0.2268, 120).Sum(), 15);

    [Fact]
    public void IsHalfAmplitudeAtAQuarterOfTheRate() =>
        Assert.Equal(0.5, Spectrum.At(Taps(HalfBand.Design(0.2268, 120)), 0.25, 1).Magnitude, 12);

    /// <summary>The whole filter, zeros and all, with unity gain.</summary>
    internal static double[] Taps(double[] weights)
    {
        var taps = new double[(4 * weights.Length) - 1];
        var middle = taps.Length / 2;
        taps[middle] = 0.5;
        for (var index = 0; index < weights.Length; index++)
        {
            var distance = (2 * (weights.Length - index)) - 1;
            (taps[middle - distance], taps[middle + distance]) = (weights[index] / 2, weights[index] / 2);
        }

        return taps;
    }
}
