using RenderGraph.Nodes.Measures.Bands;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Bands;

/// <summary>
/// Glasberg and Moore 1990, Hearing Research 47: ERB = 24.7 (4.37 F + 1) and number of ERBs = 21.4 log10(4.37 F + 1), F in kHz. The formulas are quoted from memory; 132.6 Hz at 1 kHz is their own often
/// quoted example (from memory too).
/// </summary>
public sealed class ErbScaleTests
{
    [Theory]
    [InlineData(20)]
    [InlineData(52)]
    [InlineData(100)]
    [InlineData(300)]
    [InlineData(1000)]
    [InlineData(8000)]
    public void WidthAndNumberAreThoseOfGlasbergAndMoore(double frequencyHz)
    {
        Assert.Equal(24.7 * ((4.37 * frequencyHz / 1000) + 1), ErbScale.BandwidthHz(frequencyHz), 1e-9);
        Assert.Equal(21.4 * Math.Log10((4.37 * frequencyHz / 1000) + 1), ErbScale.Number(frequencyHz), 1e-9);
        Assert.Equal(frequencyHz, ErbScale.FrequencyHz(ErbScale.Number(frequencyHz)), 1e-6);
    }

    [Fact]
    public void TheFilterAtOneKilohertzIs132HzWide() => Assert.Equal(132.6, ErbScale.BandwidthHz(1000), 0.05);

    [Fact]
    public void FourteenBandsOfHalfAnErbFillTwentyToThreeHundredHertz()
    {
        var bands = ErbScale.HalfErbBands;
        Assert.Equal(14, bands.Count);
        Assert.Equal((20, 300), (bands[0].FromHz, bands[^1].ToHz));
        Assert.All(bands, band => Assert.Equal(0.5, ErbScale.Number(band.ToHz) - ErbScale.Number(band.FromHz), 0.001));
        Assert.All(bands.Zip(bands.Skip(1)), pair => Assert.Equal(pair.First.ToHz, pair.Second.FromHz));

        // The width formula is the derivative of the number: half an ERB at its middle is half the filter's width there.
        Assert.All(bands, band => Assert.Equal(ErbScale.BandwidthHz((band.FromHz + band.ToHz) / 2) / 2, band.ToHz - band.FromHz, 0.1));
    }
}
