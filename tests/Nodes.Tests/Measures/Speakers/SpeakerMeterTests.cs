using System.Numerics;
using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Filters;
using RenderGraph.Nodes.Measures.Speakers;
using RenderGraph.Nodes.Saturation;
using RenderGraph.Nodes.Tests.Measures.Loudness;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Speakers;

/// <summary>
/// Against closed forms: a sine's loudness is that of its mean square times the squared magnitudes of the K-weighting (ITU-R BS.1770-5, the coefficients printed for 48 kHz, tests/Reference/loudness.json) and of a
/// 4th-order Butterworth high-pass, 1 / sqrt(1 + (fc / f)^8) (handbook form). What saturation adds is a Fourier series, tests/Reference/saturation.json.
/// </summary>
public sealed class SpeakerMeterTests
{
    private const int SampleRateHz = 48000;
    private const double OffsetDb = -0.691;
    private const double SineDb = -3.010299956639812; // mean square of a sine of peak 1

    [Theory]
    [InlineData(50, 150, 1)]
    [InlineData(50, 300, 8)]
    [InlineData(50, 500, 80)]
    [InlineData(100, 150, 0.5)]
    [InlineData(300, 300, 0.5)]
    [InlineData(1000, 500, 0.1)]
    public void ASineReadsWhatTheFormulasOfSpeakerAndWeightingLeaveOfIt(double frequencyHz, double cornerHz, double amplitude)
    {
        var read = Read(Note(frequencyHz, amplitude));

        Assert.Equal(HeardLufs(frequencyHz, cornerHz, amplitude), read[SpeakerMeter.Loudness(cornerHz)].Value!.Value, 0.05);
        Assert.Equal(-SpeakerDb(frequencyHz, cornerHz), read[SpeakerMeter.Loss(cornerHz)].Value!.Value, 0.05);
    }

    [Theory]
    [InlineData(1, 150)]
    [InlineData(2, 150)]
    [InlineData(2, 300)]
    [InlineData(4, 500)]
    public void SaturationMakesADeepNoteHeardByTheLevelsOfItsHarmonics(double drive, double cornerHz)
    {
        // Loud enough to be above the gate on every speaker, before too; the curve is driven as if the sine were at full scale.
        const double FundamentalHz = 50, Amplitude = 80;
        var entry = Reference("saturation.json").GetProperty("harmonics").EnumerateArray()
            .Single(entry => entry.GetProperty("shape").GetString() == "tanh" && entry.GetProperty("drive").GetDouble() == drive);
        var sine = Note(FundamentalHz, 1);
        var bent = NodeRunner.Run(NodeFactory.Create(SaturateNode.Type, ("driveDb", Spectrum.ToDb(drive)), ("oversampling", 8)), SampleRateHz, sine);

        var (before, after) = (Read(Scaled(sine, Amplitude)), Read(Scaled(bent, Amplitude)));

        var fundamental = entry.GetProperty("fundamental_amplitude").GetDouble() / drive;
        var power = entry.GetProperty("harmonics_1_to_17_db_re_fundamental").EnumerateArray()
            .Select((level, index) => level.ValueKind == JsonValueKind.Null
                ? 0 : Math.Pow(10, (HeardLufs(FundamentalHz * (index + 1), cornerHz, fundamental * Amplitude) + level.GetDouble()) / 10))
            .Sum();
        var heardLufs = 10 * Math.Log10(power);
        Assert.Equal(heardLufs, after[SpeakerMeter.Loudness(cornerHz)].Value!.Value, 0.05);
        var gainLu = heardLufs - HeardLufs(FundamentalHz, cornerHz, Amplitude);
        Assert.Equal(gainLu, after[SpeakerMeter.Loudness(cornerHz)].Value!.Value - before[SpeakerMeter.Loudness(cornerHz)].Value!.Value, 0.1);
        Assert.InRange(gainLu, 2, 60); // more is heard
    }

    [Fact]
    public void WhatIsLostIsCountedFromTheIntegratedLoudness()
    {
        var noise = Signals.Noise(5 * SampleRateHz, channels: 2);
        var loudness = Metered.Of(noise, SampleRateHz)["integratedLufs"].Value!.Value;

        var read = Read(noise);

        Assert.All(SmallSpeaker.CornersHz, hz => Assert.Equal(loudness, read[SpeakerMeter.Loudness(hz)].Value!.Value + read[SpeakerMeter.Loss(hz)].Value!.Value, 1e-6));
    }

    [Fact]
    public void WhatNobodyHearsThereIsNotANumber()
    {
        var read = Read(Note(40, 0.5));

        Assert.NotNull(read["speaker150Lufs"].Value);
        Assert.Equal("nothing of it is louder there than the gate of -70 LUFS", read["speaker500Lufs"].Reason);
        Assert.Equal("it lasts 0.3 s, and 0.4 s are needed", Read(Signals.Noise(3 * SampleRateHz / 10))["speaker300LossLu"].Reason);
        Assert.Equal("nothing in it is louder than the gate of -70 LUFS", Read(Signals.Silence(SampleRateHz))["speaker300LossLu"].Reason);
    }

    [Theory]
    [InlineData(44100)]
    [InlineData(96000)]
    [InlineData(192000)]
    public void TheSameSoundReadsTheSameAtEveryRate(int sampleRateHz)
    {
        var (here, there) = (Read(Note(120, 1)), Read(Note(120, 1, sampleRateHz), sampleRateHz));
        Assert.All(SpeakerMeter.Names, name => Assert.Equal(here[name].Value!.Value, there[name].Value!.Value, 0.05));
    }

    [Theory]
    [InlineData(150)]
    [InlineData(300)]
    [InlineData(500)]
    public void ThePreviewIsTheModelAndKeepsTheLevelAboveIt(double cornerHz)
    {
        var impulse = NodeRunner.Run(NodeFactory.Create(SpeakerNode.Type, ("speakerHz", cornerHz)), SampleRateHz, Signals.Impulse(SampleRateHz));

        foreach (var frequencyHz in new[] { cornerHz / 8, cornerHz / 2, cornerHz, 2 * cornerHz })
            Assert.Equal(SpeakerDb(frequencyHz, cornerHz), Spectrum.MagnitudeDb(Spectrum.At(impulse[0], frequencyHz, SampleRateHz)), 0.02);
        Assert.Equal(0, Spectrum.MagnitudeDb(Spectrum.At(impulse[0], 10_000, SampleRateHz)), 0.001);
    }

    private static Dictionary<string, Measurement> Read(Signal signal, int sampleRateHz = SampleRateHz)
    {
        var meter = SpeakerMeter.Type.Create(SpeakerMeter.Names.ToHashSet());
        meter.Prepare(new(sampleRateHz, [signal.Channels], 4096));
        for (var start = 0; start < signal.Frames; start += 4096)
            meter.Hear([signal.Slice(start, Math.Min(4096, signal.Frames - start))]);
        return meter.Conclude().ToDictionary(measurement => measurement.Name);
    }

    /// <summary>Ten seconds of a sine that comes in over 0.2 s: a click at its start would be heard where the note is not.</summary>
    private static Signal Note(double frequencyHz, double amplitude, int sampleRateHz = SampleRateHz)
    {
        var sine = Signals.Sine(frequencyHz, sampleRateHz, 10 * sampleRateHz, amplitude);
        return Signals.Fill(1, sine.Frames, (_, frame) => sine[0][frame] * (frame < sampleRateHz / 5 ? Math.Pow(Math.Sin(Math.PI * frame * 2.5 / sampleRateHz), 2) : 1));
    }

    private static Signal Scaled(Signal signal, double amplitude) => Signals.Fill(signal.Channels, signal.Frames, (channel, frame) => amplitude * signal[channel][frame]);

    /// <summary>A sine of that amplitude, in one channel.</summary>
    private static double HeardLufs(double frequencyHz, double cornerHz, double amplitude) =>
        Spectrum.MagnitudeDb(Weighting(frequencyHz)) + SpeakerDb(frequencyHz, cornerHz) + Spectrum.ToDb(amplitude) + SineDb + OffsetDb;

    /// <summary>The standard's two sections, as printed, on the unit circle.</summary>
    private static Complex Weighting(double frequencyHz)
    {
        var printed = Reference("loudness.json").GetProperty("k_weighting_48k");
        var delay = Complex.FromPolarCoordinates(1, -2 * Math.PI * frequencyHz / SampleRateHz);
        return Polynomial("stage1_b") / Polynomial("stage1_a") * (Polynomial("stage2_b") / Polynomial("stage2_a"));

        Complex Polynomial(string name) => printed.GetProperty(name).EnumerateArray().Select((number, power) => number.GetDouble() * Complex.Pow(delay, power)).Aggregate(Complex.Add);
    }

    private static double SpeakerDb(double frequencyHz, double cornerHz) => -10 * Math.Log10(1 + Math.Pow(cornerHz / frequencyHz, 8));

    private static JsonElement Reference(string file) => JsonDocument.Parse(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Reference", file))).RootElement;
}
