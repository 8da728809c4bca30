using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Saturation;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Saturation;

/// <summary>Against tests/Reference/saturation.json: Fourier coefficients by numerical integration (scipy 1.10.1), checked there against numpy 1.24.2.</summary>
public class SaturationReferenceTests
{
    private const int SampleRateHz = 48000;

    private static readonly JsonElement Reference = JsonDocument.Parse(
        File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Reference", "saturation.json"))).RootElement;

    public static TheoryData<string, double> Harmonics()
    {
        var cases = new TheoryData<string, double>();
        foreach (var entry in Reference.GetProperty("harmonics").EnumerateArray())
            cases.Add(entry.GetProperty("shape").GetString()!, entry.GetProperty("drive").GetDouble());
        return cases;
    }

    public static TheoryData<double, int> Aliases()
    {
        var cases = new TheoryData<double, int>();
        foreach (var entry in Reference.GetProperty("alias").GetProperty("results").EnumerateArray())
        {
            if (entry.GetProperty("oversampling").GetInt32() <= 8)
                cases.Add(entry.GetProperty("drive").GetDouble(), entry.GetProperty("oversampling").GetInt32());
        }

        return cases;
    }

    [Theory]
    [MemberData(nameof(Harmonics))]
    public void HarmonicsAreThoseOfTheCurve(string shape, double drive)
    {
        var entry = Reference.GetProperty("harmonics").EnumerateArray()
            .Single(entry => entry.GetProperty("shape").GetString() == shape && entry.GetProperty("drive").GetDouble() == drive);

        // 187.5 Hz: a period is 256 frames. The offset's high-pass has come to rest after 2.5 s.
        const double FundamentalHz = 187.5;
        var node = Node(Curve(shape), drive, oversampling: 8);
        var output = NodeRunner.Run(node, SampleRateHz, Signals.Sine(FundamentalHz, SampleRateHz, 130_000))[0][^25_600..].ToArray();

        var slope = shape == "tanh_bias" ? 1 - (Math.Tanh(0.3) * Math.Tanh(0.3)) : 1;
        var fundamental = Spectrum.AmplitudeAt(output, FundamentalHz, SampleRateHz);
        Assert.Equal(Spectrum.ToDb(entry.GetProperty("fundamental_amplitude").GetDouble() / (drive * slope)), Spectrum.ToDb(fundamental), 0.02);

        // 150 dB down lies what harmonics around the 2,048th fold onto these.
        var expected = entry.GetProperty("harmonics_1_to_17_db_re_fundamental").EnumerateArray().ToArray();
        for (var order = 2; order <= expected.Length; order++)
        {
            var levelDb = Spectrum.ToDb(Spectrum.AmplitudeAt(output, order * FundamentalHz, SampleRateHz) / fundamental);
            if (expected[order - 1].ValueKind == JsonValueKind.Null)
                Assert.True(levelDb < -150, $"harmonic {order} at {levelDb:F1} dB should not be there");
            else if (expected[order - 1].GetDouble() > -150)
                Assert.True(Math.Abs(levelDb - expected[order - 1].GetDouble()) < 0.2, $"harmonic {order}: {levelDb:F2}, not {expected[order - 1].GetDouble():F2} dB");
        }

        // No offset is left, whatever the curve.
        Assert.InRange(output.Average(), -1e-9, 1e-9);
    }

    /// <summary>
    /// The file's figures are those of ideal filters (compared within 0.2 dB). Ours let a harmonic just past half the rate fold back into the stretch above 20.16 kHz, where they are on
    /// their way down, so "to 20k" is compared; below that they add at most a harmonic past the band, lowered by their stop band of 120 dB.
    /// </summary>
    [Theory]
    [MemberData(nameof(Aliases))]
    public void WhatFoldsBackStaysUnderTheFigureForIdealFilters(double drive, int oversampling)
    {
        var alias = Reference.GetProperty("alias");
        var entry = alias.GetProperty("results").EnumerateArray()
            .Single(entry => entry.GetProperty("drive").GetDouble() == drive && entry.GetProperty("oversampling").GetInt32() == oversampling);
        var fundamentalHz = alias.GetProperty("f0_hz").GetInt32();

        var output = NodeRunner.Run(
            Node(SaturationCurve.Tanh, drive, oversampling), SampleRateHz, Signals.Sine(fundamentalHz, SampleRateHz, 10_000))[0][^4_800..].ToArray();
        var fundamental = Spectrum.AmplitudeAt(output, fundamentalHz, SampleRateHz);
        var worstDb = double.NegativeInfinity;
        for (var frequencyHz = 1000; frequencyHz <= 20_000; frequencyHz += 1000)
        {
            if (frequencyHz % fundamentalHz != 0 || frequencyHz / fundamentalHz % 2 == 0)
                worstDb = Math.Max(worstDb, Spectrum.ToDb(Spectrum.AmplitudeAt(output, frequencyHz, SampleRateHz) / fundamental));
        }

        var expected = entry.GetProperty("highest_alias_to_20k_db_re_fundamental");
        var allowedDb = expected.ValueKind == JsonValueKind.Null ? -130 : expected.GetDouble() + 0.2;
        Assert.True(worstDb < allowedDb, $"{worstDb:F1} dB, allowed {allowedDb:F1} dB");
    }

    private static SaturationCurve Curve(string shape) => shape switch
    {
        "tanh" => SaturationCurve.Tanh,
        "tanh_bias" => SaturationCurve.BiasedTanh,
        "cubic" => SaturationCurve.Cubic,
        "hard" => SaturationCurve.Clip,
        _ => throw new ArgumentException(shape),
    };

    private static INode Node(SaturationCurve curve, double drive, int oversampling) =>
        NodeFactory.Create(SaturateNode.Type, ("curve", curve), ("driveDb", 20 * Math.Log10(drive)), ("oversampling", oversampling));
}
