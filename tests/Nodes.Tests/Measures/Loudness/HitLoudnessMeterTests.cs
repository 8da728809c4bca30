using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Loudness;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Loudness;

/// <summary>The meter against the standard's own, which hears all: of a song that is only hits both must say the same, and of any song what is cut out of it.</summary>
public sealed class HitLoudnessMeterTests
{
    private const int Rate = 48_000, WindowFrames = (int)(0.17 * Rate);

    /// <summary>ITU-R BS.1770-5: 997 Hz at full scale on one channel reads -3.01 LKFS, whatever is cut out of it.</summary>
    [Fact]
    public void ASteadyToneIsAsLoudAtTheHitsAsEverywhere()
    {
        var tone = Signals.Sine(997, Rate, 4 * Rate, 0.5, channels: 2);
        var (all, hits) = (Metered.Of(tone, Rate), Measure(tone, 48_000, 96_000, 100_000));
        foreach (var measure in new[] { "integratedLufs", "maxMomentaryLufs", "peakToLoudnessDb", "crestDb", "samplePeakDbfs", "truePeakDbtp" })
            Assert.Equal(all[measure].Value!.Value, hits[measure].Value!.Value, 0.01);
    }

    /// <summary>Hits that touch leave nothing out.</summary>
    [Fact]
    public void WhereHitsLieSideBySideAllCounts()
    {
        var noise = Signals.Noise(20 * WindowFrames, seed: 4, amplitude: 0.3, channels: 2);
        var (all, hits) = (Metered.Of(noise, Rate), Measure(noise, [.. Enumerable.Range(0, 20).Select(hit => (long)hit * WindowFrames)]));
        foreach (var measure in new[] { "truePeakDbtp", "samplePeakDbfs", "crestDb", "crest20To30Db", "crest30To60Db", "crest60To120Db", "crest120To300Db", "crestAbove300Db" })
        {
            Assert.Equal(all[measure].Value!.Value, hits[measure].Value!.Value, measure.Contains("To", StringComparison.Ordinal) ? 0.1 : 1e-9); // low bands have a rate of their own there
            Assert.Equal(all[measure].AtFrame, hits[measure].AtFrame);
        }

        Assert.Equal(all["integratedLufs"].Value!.Value, hits["integratedLufs"].Value!.Value, 0.1); // other blocks of the same sound
    }

    /// <summary>Loud between the hits, soft at them: 0.17 s from each, and not a frame more.</summary>
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(4711)]
    public void WhatSoundsBetweenTheHitsDoesNotCount(int later)
    {
        long[] hits = [20_000 + later, 60_000 + later, 61_000 + later, 120_000 + later];
        bool IsAtHit(int frame) => hits.Any(hit => frame >= hit && frame < hit + WindowFrames);
        var signal = Signals.Fill(1, 4 * Rate, (_, frame) => (IsAtHit(frame) ? 0.1 : 1) * (frame % 2 == 0 ? 1 : -1));
        var measured = Measure(signal, hits);
        Assert.Equal(-20, measured["samplePeakDbfs"].Value!.Value, 1e-9);
        Assert.Equal(0, measured["crestDb"].Value!.Value, 1e-9);
        Assert.Equal(hits[0], measured["samplePeakDbfs"].AtFrame);
    }

    [Fact]
    public void AMomentThatTheSongDoesNotHaveIsNotMeasured()
    {
        var tone = Signals.Sine(997, Rate, Rate, 0.5);
        Assert.Equal("no hit comes 0.4 s before the end", Measure(tone, 40_000)["maxMomentaryLufs"].Reason);
        Assert.NotNull(Measure(tone, 10_000, 40_000)["maxMomentaryLufs"].Value);
        Assert.Equal(29_200, Measure(tone, 10_000, 40_000)["maxMomentaryLufs"].AtFrame);
    }

    [Fact]
    public void SilenceAtTheHitsIsNotMeasurable()
    {
        var signal = Signals.Fill(1, Rate, (_, frame) => frame > 30_000 ? 0.5 : 0);
        var measured = Measure(signal, 1000);
        Assert.Equal("it is silent at the anchor's hits", measured["samplePeakDbfs"].Reason);
        Assert.Equal("nothing at the anchor's hits is louder than the gate of -70 LUFS", measured["integratedLufs"].Reason);
        Assert.All(Measure(signal).Values, measurement => Assert.Equal("the anchor does not hit here", measurement.Reason));
    }

    private static Dictionary<string, Measurement> Measure(Signal signal, params long[] hits)
    {
        var meter = LoudnessMeter.Type.CreateAtHits!(LoudnessMeter.Type.Measures.Where(measure => measure.AtHits is not null).Select(measure => measure.Name).ToHashSet());
        meter.Prepare(new(Rate, [signal.Channels], 3000) { Anchor = new(hits, null, IsWithin: false) });
        for (var start = 0; start < signal.Frames; start += 3000)
            meter.Hear([signal.Slice(start, Math.Min(3000, signal.Frames - start))]);
        return meter.Conclude().ToDictionary(measurement => measurement.Name);
    }
}
