using System.Numerics;
using CsCheck;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

/// <summary>
/// Sections against the formulas of the W3C note "Audio EQ Cookbook" (R. Bristow-Johnson), written out here, at parameters drawn from the whole of the nodes' bounds.
/// </summary>
public sealed class CookbookTests
{
    private static readonly double[] RatesHz = [8000, 44100, 48000, 96000, 384000];

    private static readonly Gen<(double SampleRateHz, double FrequencyHz, double Q, double GainDb, double AtHz)> Drawn =
        from sampleRateHz in Gen.Int[0, RatesHz.Length - 1].Select(index => RatesHz[index])
        from octaves in Gen.Double[0, Math.Log2(Math.Min(20000, 0.45 * sampleRateHz) / 10)]
        from qOctaves in Gen.Double[Math.Log2(0.1), Math.Log2(40)]
        from gainDb in Gen.Double[-24, 24]
        from atOctaves in Gen.Double[0, Math.Log2(0.49 * sampleRateHz / 10)]
        select (sampleRateHz, 10 * Math.Pow(2, octaves), Math.Pow(2, qOctaves), gainDb, 10 * Math.Pow(2, atOctaves));

    [Theory]
    [InlineData("lowpass")]
    [InlineData("highpass")]
    [InlineData("bandpass")]
    [InlineData("notch")]
    [InlineData("peaking")]
    [InlineData("lowshelf")]
    [InlineData("highshelf")]
    public void ASectionIsTheCookbooksBiquad(string kind) => Drawn.Sample(drawn =>
    {
        var (sampleRateHz, frequencyHz, q, gainDb, atHz) = drawn;
        var section = Design(kind, frequencyHz, q, gainDb, sampleRateHz);
        var expected = Cookbook(kind, frequencyHz, q, gainDb, sampleRateHz, atHz);

        // The biquad's own digits run out first: 1e-16 / (corner / rate)^2 at the lowest corner and highest rate.
        return (section.Response(atHz, sampleRateHz) - expected).Magnitude < 1e-6 * Math.Max(1, expected.Magnitude);
    });

    [Theory]
    [InlineData("lowpass")]
    [InlineData("peaking")]
    [InlineData("lowshelf")]
    [InlineData("highshelf")]
    public void ASectionDiesAwayAndRendersWhatItSays(string kind) => Drawn.Sample(drawn =>
    {
        // Held to corners and Qs whose slowest pole falls below -600 dBFS within the impulse response.
        var (sampleRateHz, frequencyHz, q, gainDb, atHz) = drawn;
        var section = Design(kind, Math.Max(frequencyHz, sampleRateHz / 500), Math.Clamp(q, 0.3, 2), gainDb, sampleRateHz);
        var impulse = Signals.Impulse(1 << 17);
        new SectionCascade([section]).Process(0, impulse, impulse);
        var expected = section.Response(atHz, sampleRateHz);
        return impulse[0][^1] == 0 && (Spectrum.At(impulse[0], atHz, sampleRateHz) - expected).Magnitude < 1e-9 * Math.Max(1, expected.Magnitude);
    }, iter: 20);

    private static Section Design(string kind, double frequencyHz, double q, double gainDb, double sampleRateHz) => kind switch
    {
        "lowpass" => SectionDesign.LowPass(frequencyHz, q, sampleRateHz),
        "highpass" => SectionDesign.HighPass(frequencyHz, q, sampleRateHz),
        "bandpass" => SectionDesign.BandPass(frequencyHz, q, sampleRateHz),
        "notch" => SectionDesign.Notch(frequencyHz, q, sampleRateHz),
        "peaking" => SectionDesign.Bell(frequencyHz, q, gainDb, sampleRateHz),
        "lowshelf" => SectionDesign.LowShelf(frequencyHz, q, gainDb, sampleRateHz),
        _ => SectionDesign.HighShelf(frequencyHz, q, gainDb, sampleRateHz),
    };

    private static Complex Cookbook(string kind, double frequencyHz, double q, double gainDb, double sampleRateHz, double atHz)
    {
        var a = Math.Pow(10, gainDb / 40);
        var (sin, c) = Math.SinCos(2 * Math.PI * frequencyHz / sampleRateHz);
        var alpha = sin / (2 * q);
        var r = 2 * Math.Sqrt(a) * alpha;
        double[] poles = [1 + alpha, -2 * c, 1 - alpha];
        double[] b = kind switch
        {
            "lowpass" => [(1 - c) / 2, 1 - c, (1 - c) / 2],
            "highpass" => [(1 + c) / 2, -1 - c, (1 + c) / 2],
            "bandpass" => [alpha, 0, -alpha],
            "notch" => [1, -2 * c, 1],
            "peaking" => [1 + (alpha * a), -2 * c, 1 - (alpha * a)],
            "lowshelf" => [a * (a + 1 - ((a - 1) * c) + r), 2 * a * (a - 1 - ((a + 1) * c)), a * (a + 1 - ((a - 1) * c) - r)],
            _ => [a * (a + 1 + ((a - 1) * c) + r), -2 * a * (a - 1 + ((a + 1) * c)), a * (a + 1 + ((a - 1) * c) - r)],
        };
        poles = kind switch
        {
            "peaking" => [1 + (alpha / a), -2 * c, 1 - (alpha / a)],
            "lowshelf" => [a + 1 + ((a - 1) * c) + r, -2 * (a - 1 + ((a + 1) * c)), a + 1 + ((a - 1) * c) - r],
            "highshelf" => [a + 1 - ((a - 1) * c) + r, 2 * (a - 1 - ((a + 1) * c)), a + 1 - ((a - 1) * c) - r],
            _ => poles,
        };
        var z = Complex.FromPolarCoordinates(1, -2 * Math.PI * atHz / sampleRateHz);
        return (b[0] + (z * (b[1] + (z * b[2])))) / (poles[0] + (z * (poles[1] + (z * poles[2]))));
    }
}
