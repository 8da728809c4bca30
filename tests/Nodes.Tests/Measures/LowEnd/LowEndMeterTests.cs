using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.LowEnd;

/// <summary>The meter against the map, which keeps the whole low band, and against closed forms.</summary>
public sealed class LowEndMeterTests
{
    private const int Rate = MeasuredSong.SampleRateHz;

    [Theory]
    [InlineData("kick")]
    [InlineData("bass")]
    [InlineData("sub")]
    [InlineData("snare")]
    public void SaysOfARecordedStemWhatTheMapSays(string stem)
    {
        var (signal, rateHz) = CopperLantern.Read(stem);
        AssertLikeTheMap(signal, rateHz);
    }

    [Theory]
    [InlineData(8000)]
    [InlineData(44_100)]
    [InlineData(192_000)]
    public void SaysOfAWideSignalWithAnOffsetWhatTheMapSaysAtAnyRate(int rateHz)
    {
        var noise = Signals.Noise(2 * rateHz, seed: 3, amplitude: 0.3, channels: 2);
        AssertLikeTheMap(Signals.Fill(2, noise.Frames, (channel, frame) => noise[channel][frame] + (channel == 0 ? -0.01 : 0.004) + (0.2 * Math.Sin(2 * Math.PI * 12 * frame / rateHz))), rateHz);
    }

    /// <summary>Two tones: 12 Hz, 6 dB below the other, has a fifth of the power.</summary>
    [Fact]
    public void TheShareBelowTwentyHertzIsThatOfThePower()
    {
        var signal = Signals.Fill(1, 8 * Rate, (_, frame) => (0.1 * Math.Sin(2 * Math.PI * 12 * frame / Rate)) + (0.2 * Math.Sin(2 * Math.PI * 80 * frame / Rate)));
        Assert.Equal(0.2, Measure(signal, Rate)["subsonicShare"].Value!.Value, 0.005);
    }

    [Theory]
    [InlineData("lowEndDbfs")]
    [InlineData("level60To120Dbfs")]
    [InlineData("monoLossDb")]
    public void TellsWhereThereIsMostOfIt(string measure)
    {
        // Against each other on both sides, loudest from 4 to 5 s.
        var signal = Signals.Fill(2, 8 * Rate, (channel, frame) => (channel == 0 ? 1 : -1) * (frame / Rate == 4 ? 0.5 : 0.1) * Math.Sin(2 * Math.PI * 80 * frame / Rate));
        Assert.InRange(Measure(signal, Rate)[measure].AtFrame!.Value, 4 * Rate, 5 * Rate);
    }

    [Fact]
    public void SilenceIsNotMeasurable()
    {
        var silence = Measure(Signal.Allocate(2, Rate), Rate).Values;
        Assert.All(silence, measurement => Assert.True(measurement is { Value: null, Reason: "it is silent", AtFrame: null }, measurement.ToString()));
    }

    /// <summary>A gate that forbids an offset, or rumble, must hold where there is none.</summary>
    [Fact]
    public void WhatIsNotThereHasTheLowestLevelThereIs()
    {
        // Far above the low end, and fading in and out so slowly that no edge is heard down there.
        var measured = Measure(Signals.Fill(1, 4 * Rate, (_, frame) => (frame % 2 == 0 ? 0.5 : -0.5) * Math.Pow(Math.Sin(Math.PI * frame / (4 * Rate)), 8)), Rate);
        Assert.Equal((-200, -200), (measured["dcDbfs"].Value, measured["level30To60Dbfs"].Value));
    }

    private static void AssertLikeTheMap(Signal signal, int rateHz)
    {
        using var map = LowEndMap.Measure(MeasuredSong.Stems(rateHz, ("stem", signal)), rateHz, 1, default);
        var (lowEnd, measured) = (map.Stems[0].LowEnd, Measure(signal, rateHz));

        // The map keeps the low band in single precision.
        AssertIs(lowEnd.LevelDbfs, "lowEndDbfs");
        AssertIs(lowEnd.RangesDbfs[0], "level20To30Dbfs");
        AssertIs(lowEnd.RangesDbfs[1], "level30To60Dbfs");
        AssertIs(lowEnd.RangesDbfs[2], "level60To120Dbfs");
        AssertIs(lowEnd.RangesDbfs[3], "level120To300Dbfs");
        AssertIs(lowEnd.SubsonicDbfs, "subsonicDbfs");
        AssertIs(lowEnd.DcDbfs, "dcDbfs");
        AssertIs(lowEnd.MonoLossDb, "monoLossDb");

        void AssertIs(double? expected, string measure)
        {
            Assert.Equal(expected ?? -200, measured[measure].Value!.Value, 0.0005);
        }
    }

    private static Dictionary<string, Measurement> Measure(Signal signal, int rateHz)
    {
        var meter = LowEndMeter.Type.Create(LowEndMeter.Type.Measures.Select(measure => measure.Name).ToHashSet());
        meter.Prepare(new(rateHz, [signal.Channels], 1000));
        for (var start = 0; start < signal.Frames; start += 1000)
            meter.Hear([signal.Slice(start, Math.Min(1000, signal.Frames - start))]);
        return meter.Conclude().ToDictionary(measurement => measurement.Name);
    }
}
