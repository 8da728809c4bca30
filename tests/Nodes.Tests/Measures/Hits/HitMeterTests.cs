using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Hits;
using RenderGraph.Nodes.Measures.Pitch;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Hits;

/// <summary>One pass against two: the finder of hits first, then, knowing them, the finder of their note.</summary>
public sealed class HitMeterTests
{
    private const int Rate = MeasuredSong.SampleRateHz;

    [Theory]
    [InlineData("kick")]
    [InlineData("snare")]
    [InlineData("bass")]
    [InlineData("sub")]
    public void SaysOfARecordedStemWhatTwoPassesSay(string stem)
    {
        var (signal, rateHz) = CopperLantern.Read(stem);
        AssertLikeTwoPasses(signal, rateHz);
    }

    /// <summary>Strokes of any distance and strength over noise: some are no hits, some end another's tone, some are struck together.</summary>
    [Fact]
    public void SaysOfDenseAndUnevenStrokesWhatTwoPassesSay()
    {
        var random = new Random(5);
        for (var turn = 0; turn < 12; turn++)
        {
            var signal = Signals.Noise(6 * Rate, seed: turn, amplitude: turn % 3 * 0.004);
            for (var time = 0.1; time < 5.9; time += 0.06 + (random.NextDouble() * 0.7))
            {
                var stroke = MeasuredSong.Kick(6, 45 + (20 * random.NextDouble()), 0.02 + (0.5 * random.NextDouble()), [time], 0.05 + (0.3 * random.NextDouble()));
                for (var frame = 0; frame < signal.Frames; frame++)
                    signal[0][frame] += stroke[0][frame];
            }

            AssertLikeTwoPasses(signal, Rate);
        }
    }

    [Fact]
    public void AtTheAnchorsHitsItIsTheNoteThatIsHeardThere()
    {
        // The part plays 55 Hz where the anchor hits, and 80 Hz twice as often elsewhere.
        var there = MeasuredSong.Kick(6, 55, 0.3, MeasuredSong.Beats(0.5, 1, 5));
        var elsewhere = MeasuredSong.Kick(6, 80, 0.5, MeasuredSong.Beats(1, 1, 5));
        var part = MeasuredSong.Sum(there, elsewhere);
        Assert.Equal(80, Measure(part, Rate, atHits: false)["dominantFrequencyHz"].Value!.Value, 0.5);
        Assert.Equal(55, Measure(part, Rate, atHits: true, [.. MeasuredSong.Beats(0.5, 1, 5).Select(time => (long)(time * Rate))])["dominantFrequencyHz"].Value!.Value, 0.5);
    }

    [Fact]
    public void WithoutHitsTheirNumberIsNoughtAndTheNoteIsNotMeasurable()
    {
        var measured = Measure(Signal.Allocate(1, Rate), Rate, atHits: false);
        Assert.Equal(0, measured["hitCount"].Value);
        Assert.Equal("no hit is found in it", measured["dominantFrequencyHz"].Reason);
    }

    private static void AssertLikeTwoPasses(Signal signal, int rateHz)
    {
        var finder = new HitFinder(rateHz);
        finder.Add(signal);
        var hits = finder.Finish();
        var pitch = new DominantFrequencyFinder(rateHz, hits);
        pitch.Add(signal);
        var (expected, measured) = (pitch.Finish(), Measure(signal, rateHz, atHits: false));
        Assert.Equal(
            (hits.Count, expected?.FrequencyHz, expected?.Confidence),
            (measured["hitCount"].Value, measured["dominantFrequencyHz"].Value, measured["dominantFrequencyConfidence"].Value));
    }

    private static Dictionary<string, Measurement> Measure(Signal signal, int rateHz, bool atHits, IReadOnlyList<long>? anchorHits = null)
    {
        var wanted = HitMeter.Type.Measures.Where(measure => !atHits || measure.AtHits is not null).Select(measure => measure.Name).ToHashSet();
        var meter = atHits ? HitMeter.Type.CreateAtHits!(wanted) : HitMeter.Type.Create(wanted);
        meter.Prepare(new(rateHz, [signal.Channels], 5000) { Anchor = new(anchorHits ?? [], null, IsWithin: false) });
        for (var start = 0; start < signal.Frames; start += 5000)
            meter.Hear([signal.Slice(start, Math.Min(5000, signal.Frames - start))]);
        return meter.Conclude().ToDictionary(measurement => measurement.Name);
    }
}
