using System.Numerics;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

/// <summary>Facts of filter theory: Butterworth 1930 and Linkwitz 1976, named from memory.</summary>
public sealed class SectionDesignTests
{
    public static TheoryData<double> Slopes => new(SectionDesign.SlopesDbPerOctave);

    [Theory]
    [MemberData(nameof(Slopes))]
    public void AButterworthHasItsMinus3DbAtTheCornerAndItsSlopeBeyond(double slopeDbPerOctave)
    {
        var low = SectionDesign.LowPass(100, slopeDbPerOctave, Alignment.Butterworth, 192000);
        var high = SectionDesign.HighPass(1000, slopeDbPerOctave, Alignment.Butterworth, 192000);
        var halfPowerDb = 10 * Math.Log10(0.5);
        Assert.Equal(halfPowerDb, ResponseDb(low, 100), 1e-6);
        Assert.Equal(halfPowerDb, ResponseDb(high, 1000), 1e-6);

        // 4 octaves out, where the bend is over and the bilinear transform has not yet begun to.
        Assert.Equal(-slopeDbPerOctave, ResponseDb(low, 3200) - ResponseDb(low, 1600), 0.005 * slopeDbPerOctave);
        Assert.Equal(-slopeDbPerOctave, ResponseDb(high, 31.25) - ResponseDb(high, 62.5), 0.005 * slopeDbPerOctave);
        Assert.Equal(0, ResponseDb(low, 1), 0.001);
        Assert.Equal(0, ResponseDb(high, 80000), 0.001);
    }

    [Theory]
    [MemberData(nameof(Slopes))]
    public void AButterworthNeverRisesOnItsWayDown(double slopeDbPerOctave)
    {
        var low = SectionDesign.LowPass(120, slopeDbPerOctave, Alignment.Butterworth, 48000);
        var gains = Enumerable.Range(0, 400).Select(step => ResponseDb(low, 10 * Math.Pow(1.0175, step), 48000)).ToArray();
        for (var step = 1; step < gains.Length; step++)
            Assert.True(gains[step] <= gains[step - 1] + 1e-9);
    }

    [Theory]
    [InlineData(12, -1)]
    [InlineData(24, 1)]
    [InlineData(36, -1)]
    [InlineData(48, 1)]
    public void LinkwitzRileyLowAndHighAddUpFlat(double slopeDbPerOctave, double polarity)
    {
        var low = SectionDesign.LowPass(120, slopeDbPerOctave, Alignment.LinkwitzRiley, 44100);
        var high = SectionDesign.HighPass(120, slopeDbPerOctave, Alignment.LinkwitzRiley, 44100);
        Assert.Equal(20 * Math.Log10(0.5), ResponseDb(low, 120, 44100), 1e-6);
        for (var frequencyHz = 10.0; frequencyHz < 20000; frequencyHz *= 1.05)
        {
            var sum = Response(low, frequencyHz, 44100) + (polarity * Response(high, frequencyHz, 44100));
            Assert.Equal(0, Spectrum.MagnitudeDb(sum), 0.001);
        }
    }

    [Theory]
    [InlineData(6)]
    [InlineData(18)]
    [InlineData(30)]
    [InlineData(42)]
    public void LinkwitzRileyHasNoOddMultiplesOf6(double slopeDbPerOctave)
    {
        Assert.False(SectionDesign.Exists(Alignment.LinkwitzRiley, slopeDbPerOctave));
        Assert.Throws<ArgumentOutOfRangeException>(() => SectionDesign.LowPass(100, slopeDbPerOctave, Alignment.LinkwitzRiley, 48000));
    }

    [Fact]
    public void ABoostAndACutByAsMuchCancel()
    {
        for (var frequencyHz = 10.0; frequencyHz < 20000; frequencyHz *= 1.3)
        {
            var both = Response([SectionDesign.Bell(80, 1.4, 9, 48000), SectionDesign.Bell(80, 1.4, -9, 48000)], frequencyHz, 48000);
            Assert.True((both - 1).Magnitude < 1e-9);
        }
    }

    [Fact]
    public void GainsOf0DbChangeNoBit()
    {
        var noise = Signals.Noise(1000, channels: 2);
        foreach (var section in new[] { SectionDesign.Bell(80, 2, 0, 48000), SectionDesign.LowShelf(80, 0.7, 0, 48000), SectionDesign.HighShelf(80, 0.7, 0, 48000) })
        {
            var output = Signals.Silence(1000, 2);
            new SectionCascade([section]).Process(0, noise, output);
            Assert.True(Signals.AreSameBits(noise, output));
        }
    }

    private static Complex Response(Section[] sections, double frequencyHz, double sampleRateHz) =>
        sections.Aggregate(Complex.One, (product, section) => product * section.Response(frequencyHz, sampleRateHz));

    private static double ResponseDb(Section[] sections, double frequencyHz, double sampleRateHz = 192000) =>
        Spectrum.MagnitudeDb(Response(sections, frequencyHz, sampleRateHz));
}
