using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Loudness;
using RenderGraph.Testing;
using Xunit;
using Xunit.Abstractions;

namespace RenderGraph.Nodes.Tests.Measures.Loudness;

public class LoudnessMeterTests(ITestOutputHelper output)
{
    private static readonly Dictionary<string, string> MeasureOf = new()
    {
        ["I"] = "integratedLufs", ["LRA"] = "loudnessRangeLu", ["maxM"] = "maxMomentaryLufs", ["maxS"] = "maxShortTermLufs", ["true_peak"] = "truePeakDbtp",
    };

    public static TheoryData<string> Cases => [.. LoudnessReference.Cases];

    public static TheoryData<string> Extras => [.. LoudnessReference.Extras];

    /// <summary>EBU Tech 3341 cases 1 to 6 and 9 to 23, Tech 3342 cases 1 to 4.</summary>
    [Theory]
    [MemberData(nameof(Cases))]
    public void ReadsTheSignalsOfTheStandardWithinItsTolerance(string name)
    {
        var (signal, rate, expected) = LoudnessReference.Case(name);
        var read = Metered.Of(signal, rate);
        foreach (var (what, value, minus, plus) in expected.Where(each => MeasureOf.ContainsKey(each.Name)))
        {
            var measured = read[MeasureOf[what]].Value!.Value;
            output.WriteLine(FormattableString.Invariant($"{name} {what}: {measured:0.0000}, wanted {value}"));
            Assert.InRange(measured, value - minus, value + plus);
        }
    }

    /// <summary>EBU Tech 3341, cases 9 and 12: the short-term and the momentary loudness stand still. Any window by itself reads what all others do.</summary>
    [Theory]
    [InlineData("3341-9", "maxShortTermLufs", 3, 3)]
    [InlineData("3341-12", "maxMomentaryLufs", 1, 0.4)]
    public void StandsStillWhereTheSignalRepeatsInEveryWindow(string name, string measure, double fromSeconds, double windowSeconds)
    {
        var (signal, rate, _) = LoudnessReference.Case(name);
        var window = (int)(windowSeconds * rate);
        for (var start = (int)(fromSeconds * rate); start + window <= signal.Frames; start += 7 * rate / 100)
            Assert.InRange(Metered.Of(signal.Slice(start, window), rate, measures: new HashSet<string> { measure })[measure].Value!.Value, -23.1, -22.9);
    }

    [Theory]
    [MemberData(nameof(Extras))]
    public void AgreesWithAnIndependentMeter(string id)
    {
        var (signal, rate, measured) = LoudnessReference.Extra(id);
        var read = Metered.Of(signal, rate);
        foreach (var (what, tolerance) in new[] { ("I", 0.05), ("maxM", 0.05), ("maxS", 0.05) })
        {
            var (ours, theirs) = (read[MeasureOf[what]].Value!.Value, measured.GetProperty(what).GetDouble());
            output.WriteLine(FormattableString.Invariant($"{id} {what}: {ours:0.0000}, libebur128 {theirs:0.0000}"));
            Assert.Equal(theirs, ours, tolerance);
        }
    }

    [Theory]
    [InlineData(60)]
    [InlineData(1000)]
    [InlineData(6000)]
    public void ReadsTheSameAtEveryRate(double frequencyHz)
    {
        var loudness = new[] { 44100, 48000, 88200, 96000, 192000 }
            .Select(rate => Metered.Of(Signals.Sine(frequencyHz, rate, 4 * rate, 0.25, channels: 2), rate)["integratedLufs"].Value!.Value).ToList();
        output.WriteLine(FormattableString.Invariant($"{frequencyHz} Hz: spread {loudness.Max() - loudness.Min():0.00000} LU"));
        Assert.InRange(loudness.Max() - loudness.Min(), 0, 0.05);
    }

    [Fact]
    public void WeighsFrequenciesAsTheStandardPrintsAt48Kilohertz()
    {
        foreach (var (frequencyHz, gainDb) in LoudnessReference.KWeighting)
            Assert.Equal(gainDb, GainDb(frequencyHz, 48000), 0.001);
    }

    [Theory]
    [InlineData(44100)]
    [InlineData(88200)]
    [InlineData(96000)]
    [InlineData(192000)]
    public void WeighsFrequenciesTheSameAtEveryRate(int rate)
    {
        foreach (var (frequencyHz, gainDb) in LoudnessReference.KWeighting.Where(point => point.FrequencyHz <= 10_000))
            Assert.Equal(gainDb, GainDb(frequencyHz, rate), frequencyHz <= 2000 ? 0.01 : 0.05);
    }

    /// <summary>ITU-R BS.1770-5: the low-frequency channel does not count, a surround channel counts 1.41 fold (from memory).</summary>
    [Fact]
    public void WeighsTheChannelsOfASurroundSignal()
    {
        double Lufs(int channels, params int[] sounding) => Metered.Of(
            Signals.Fill(channels, 48000, (channel, frame) => sounding.Contains(channel) ? 0.1 * Math.Sin(2 * Math.PI * 997 * frame / 48000) : 0), 48000)["integratedLufs"].Value!.Value;

        var mono = Lufs(1, 0);
        Assert.Equal(-23.01, mono, 0.01);
        Assert.Equal(mono + 3.0103, Lufs(2, 0, 1), 0.001);
        Assert.Equal(mono, Lufs(6, 2), 0.001);
        Assert.Equal(mono, Lufs(6, 2, 3), 0.001);
        Assert.Equal(mono + (10 * Math.Log10(1.41)), Lufs(6, 4), 0.001);
    }

    [Fact]
    public void GivesTheSameBitsForAnyBlocks()
    {
        var signal = Signals.Noise(5 * 44100, seed: 3, channels: 2);
        var whole = Metered.Of(signal, 44100, signal.Frames);
        foreach (var blockFrames in new[] { 64, 441, 777, 16384 })
            Assert.Equal(whole.Values, Metered.Of(signal, 44100, blockFrames).Values);
    }

    [Fact]
    public void GivesTheSameNumbersWhicheverOthersAreWanted()
    {
        var signal = Signals.Noise(4 * 48000, seed: 4, channels: 2);
        var all = Metered.Of(signal, 48000);
        foreach (var measure in Metered.All)
            Assert.Equal(all[measure], Metered.Of(signal, 48000, measures: new HashSet<string> { measure }).Values.Single());
    }

    [Fact]
    public void HearsNothingFromAnEarlierSignal()
    {
        var signal = Signals.Noise(4 * 48000, seed: 5, channels: 2);
        var meter = LoudnessMeter.Type.Create(Metered.All);
        for (var turn = 0; turn < 2; turn++)
        {
            meter.Prepare(new(48000, [2], signal.Frames));
            meter.Hear([signal]);
            Assert.Equal(Metered.Of(signal, 48000).Values, meter.Conclude());
        }
    }

    [Fact]
    public void SilenceKnownToBeSilentReadsLikeSilenceThatIsNot()
    {
        var burst = Signals.Noise(48000, seed: 7, channels: 2);
        var signal = Signals.WithTail(burst, 4 * 48000);
        var meter = LoudnessMeter.Type.Create(Metered.All);
        meter.Prepare(new(48000, [2], 48000));
        var silence = new Signal(new double[2 * 48000], 0, 48000, 2, 48000, [true]);
        meter.Hear([burst]);
        for (var second = 0; second < 4; second++)
            meter.Hear([silence]);
        Assert.Equal(Metered.Of(signal, 48000).Values, meter.Conclude());
    }

    [Fact]
    public void TellsWhereThePeaksAndTheLoudestWindowsAre()
    {
        var signal = Signals.Fill(1, 10 * 48000, (_, frame) => (frame is >= 240_000 and < 384_000 ? 0.5 : 0.1) * Math.Sin(2 * Math.PI * 1000 * frame / 48000.0));
        signal[0][250_000] = 0.9;
        var read = Metered.Of(signal, 48000);
        Assert.Equal(250_000, read["samplePeakDbfs"].AtFrame);
        Assert.InRange(read["truePeakDbtp"].AtFrame!.Value, 249_999, 250_000);
        Assert.InRange(read["maxShortTermLufs"].AtFrame!.Value, 383_500, 384_500);
    }

    [Theory]
    [InlineData(0.2, 0.5, "integratedLufs", "it lasts 0.2 s, and 0.4 s are needed")]
    [InlineData(0.2, 0.5, "maxMomentaryLufs", "it lasts 0.2 s, and 0.4 s are needed")]
    [InlineData(2.5, 0.5, "maxShortTermLufs", "it lasts 2.5 s, and 3 s are needed")]
    [InlineData(2.5, 0.5, "loudnessRangeLu", "it lasts 2.5 s, and 3 s are needed")]
    [InlineData(0.2, 0.5, "peakToLoudnessDb", "it lasts 0.2 s, and 0.4 s are needed")]
    [InlineData(2.5, 0.5, "minPeakToShortTermDb", "it lasts 2.5 s, and 3 s are needed")]
    [InlineData(5, 0, "integratedLufs", "nothing in it is louder than the gate of -70 LUFS")]
    [InlineData(5, 1e-5, "loudnessRangeLu", "nothing in it is louder than the gate of -70 LUFS")]
    [InlineData(5, 0, "maxMomentaryLufs", "it is silent")]
    [InlineData(5, 0, "truePeakDbtp", "it is silent")]
    [InlineData(5, 0, "samplePeakDbfs", "it is silent")]
    [InlineData(5, 0, "crestDb", "it is silent")]
    [InlineData(5, 0, "crest30To60Db", "there is nothing in the band above -200 dBFS")]
    public void SaysWhyThereIsNoNumber(double seconds, double amplitude, string measure, string reason)
    {
        var read = Metered.Of(Signals.Sine(1000, 48000, (int)(seconds * 48000), amplitude, channels: 2), 48000)[measure];
        Assert.Null(read.Value);
        Assert.Equal(reason, read.Reason);
    }

    [Fact]
    public void NothingHeardIsNotMeasurableAtAll() =>
        Assert.All(Metered.Of(Signals.Silence(0, 2), 48000).Values, read => Assert.True(read.Value is null && read.Reason is not null));

    /// <summary>The crest factor of a sine is 20 log10(sqrt 2), of a square wave 0 dB: closed forms.</summary>
    [Fact]
    public void TellsTheCrestFactorOfASineAndOfASquareWave()
    {
        Assert.Equal(3.0103, Metered.Of(Signals.Sine(100, 48000, 96000, 0.7, channels: 2), 48000)["crestDb"].Value!.Value, 0.001);
        Assert.Equal(0, Metered.Of(Signals.Fill(2, 96000, (_, frame) => frame / 240 % 2 == 0 ? 0.5 : -0.5), 48000)["crestDb"].Value!.Value, 1e-9);
    }

    [Fact]
    public void TellsTheCrestFactorOfEachBandByItself()
    {
        // A steady 80 Hz, and at 1 kHz a click now and then: calm in one band, spiky in the other.
        var signal = Signals.Fill(1, 10 * 48000, (_, frame) =>
            (0.3 * Math.Sin(2 * Math.PI * 80 * frame / 48000.0)) + (frame % 24000 < 240 ? 0.3 * Math.Sin(2 * Math.PI * 1000 * frame / 48000.0) : 0));
        var read = Metered.Of(signal, 48000);
        Assert.InRange(read["crest60To120Db"].Value!.Value, 3, 4);
        Assert.InRange(read["crestAbove300Db"].Value!.Value, 18, 24);
    }

    /// <summary>Low bands are read at a lower rate: the slow, obvious way is to filter every frame and take the largest sample.</summary>
    [Theory]
    [InlineData(44_100)]
    [InlineData(48_000)]
    [InlineData(96_000)]
    public void LowBandsAreThoseOfTheFullRate(int rate)
    {
        var noise = Signals.Noise(4 * rate, seed: 8, amplitude: 0.1, channels: 2);
        var signal = Signals.Fill(2, noise.Frames, (channel, frame) => noise[channel][frame] + (0.5 * Math.Exp(-frame % (rate / 2) / (0.1 * rate)) * Math.Sin(2 * Math.PI * (frame % (rate / 2)) / rate * (60 + (90 * Math.Exp(-frame % (rate / 2) / (0.02 * rate)))))));
        var read = Metered.Of(signal, rate);
        foreach (var band in CrestBand.All.Where(band => band.IsLow))
        {
            var (peak, energy) = (0.0, 0.0);
            for (var channel = 0; channel < 2; channel++)
            {
                var samples = signal[channel].ToArray();
                new SectionCascade(band.Sections(rate)).Process(0, (ReadOnlySpan<double>)samples, samples);
                (peak, energy) = (Math.Max(peak, samples.Max(Math.Abs)), energy + samples.Sum(sample => sample * sample));
            }

            Assert.Equal(20 * Math.Log10(peak / Math.Sqrt(energy / (2 * signal.Frames))), read[band.Measure].Value!.Value, 0.02);
        }
    }

    /// <summary>PLR and PSR of a steady full-scale sine: 0 dBTP above its loudness, -3.01 + 0.69 - 0.69 LUFS for one channel at 997 Hz.</summary>
    [Fact]
    public void TellsHowFarPeaksStandAboveTheLoudness()
    {
        var read = Metered.Of(Signals.Sine(997, 48000, 5 * 48000), 48000);
        Assert.Equal(3.01, read["peakToLoudnessDb"].Value!.Value, 0.01);
        Assert.Equal(3.01, read["minPeakToShortTermDb"].Value!.Value, 0.02);
    }

    private static double GainDb(double frequencyHz, int rate) => KWeighting.Sections(rate)
        .Sum(section => 20 * Math.Log10(section.Response(frequencyHz, rate).Magnitude));
}
