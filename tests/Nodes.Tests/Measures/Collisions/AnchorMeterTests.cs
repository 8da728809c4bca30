using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Collisions;

/// <summary>The meters that hear the anchor against the map, which has all stems before it, on a session that nobody here made. The closed forms are the map's own tests.</summary>
public sealed class AnchorMeterTests
{
    private const double FrequencyHz = 52;

    private static readonly (Signal Signal, int RateHz) Kick = CopperLantern.Read("kick");
    private static readonly Dictionary<string, Signal> Others = new(StringComparer.Ordinal)
    {
        ["bass"] = CopperLantern.Read("bass").Signal, ["sub"] = CopperLantern.Read("sub").Signal, ["snare"] = CopperLantern.Read("snare").Signal,
    };

    private static readonly Hit[] Hits = [.. CopperLantern.Hits("kick").Select(hit => new Hit(hit.Frame, 1))];
    private static readonly CollisionMap Map = Measure();

    [Theory]
    [InlineData("bass")]
    [InlineData("sub")]
    [InlineData("snare")]
    public void SaysOfAPartWhatTheMapSays(string part)
    {
        var expected = Map.Stems.Single(stem => stem.Stem == 1 + Others.Keys.ToList().IndexOf(part));
        var measured = Hear(AnchorMeter.Type, isWithin: false, Others[part], Kick.Signal);
        AssertIs(expected.Overlap, "overlap");
        AssertIs(expected.SummationGainDb, "summationGainDb");
        AssertIs(expected.PhaseDegrees, "phaseDegrees");
        AssertIs(expected.PhaseConsistency, "phaseConsistency");
        AssertIs(-HitFigures.Median(expected.Hits.Select(hit => hit.PartDb).OfType<double>()), "clearanceDb");
        Assert.Equal(expected.PeakCostDb!.Value, Hear(PeakCostMeter.Type, isWithin: false, Sum(), Others[part])["peakCostDb"].Value!.Value, 1e-9);

        void AssertIs(double? value, string measure)
        {
            Assert.True(value is null == measured[measure].Value is null, measure);
            if (value is { } number)
                Assert.Equal(number, measured[measure].Value!.Value, 0.0005);
        }
    }

    [Fact]
    public void SaysOfTheMixByHowMuchTheAnchorStandsAboveTheRestInIt()
    {
        var clearance = Hear(AnchorMeter.Type, isWithin: true, Sum(), Kick.Signal)["clearanceDb"];
        Assert.Equal(Map.ClearanceDb!.Value, clearance.Value!.Value, 0.0005);

        // And where it is least.
        var worst = Enumerable.Range(0, Hits.Length).MinBy(hit => Map.HitClearanceDb[hit] ?? double.PositiveInfinity);
        Assert.Equal(Hits[worst].Frame, clearance.AtFrame);
    }

    [Fact]
    public void TheLowEndAtTheHitsIsTheMaps()
    {
        var mix = Sum();
        var meter = LowEndMeter.Type.CreateAtHits!(new HashSet<string> { "lowEndDbfs" });
        meter.Prepare(new(Kick.RateHz, [mix.Channels], mix.Frames) { Anchor = new([.. Hits.Select(hit => hit.Frame)], FrequencyHz, IsWithin: true) });
        meter.Hear([mix]);
        var lowEnd = Assert.Single(meter.Conclude());
        Assert.Equal(Map.SumLowEndDbfs!.Value, lowEnd.Value!.Value, 0.0005);
        Assert.Contains(lowEnd.AtFrame!.Value, Hits.Select(hit => hit.Frame));
    }

    [Fact]
    public void TheRestOfAMixIsWhatItWouldBeWithoutTheAnchor()
    {
        var (within, apart) = (Hear(AnchorMeter.Type, isWithin: true, Sum(), Kick.Signal), Hear(AnchorMeter.Type, isWithin: false, Sum(withKick: false), Kick.Signal));
        foreach (var measure in AnchorMeter.Type.Measures)
            Assert.Equal(apart[measure.Name].Value!.Value, within[measure.Name].Value!.Value, 1e-6);
    }

    [Fact]
    public void WorstPlacesAreTheMapsWorst()
    {
        var sub = Map.Stems.Single(stem => stem.Stem == 2);
        var measured = Hear(AnchorMeter.Type, isWithin: false, Others["sub"], Kick.Signal);
        var covered = Enumerable.Range(0, Hits.Length).MaxBy(hit => sub.Hits[hit].Overlap);
        var cancelled = Enumerable.Range(0, Hits.Length).MinBy(hit => sub.Hits[hit].SummationGainDb ?? double.PositiveInfinity);
        Assert.Equal((Hits[covered].Frame, Hits[cancelled].Frame), (measured["overlap"].AtFrame, measured["summationGainDb"].AtFrame));
    }

    [Fact]
    public void SaysWhyThereIsNoNumber()
    {
        Assert.Equal("nobody looked for the anchor's hits", Reason(new(null, FrequencyHz, false), "overlap"));
        Assert.Equal("the anchor does not hit here", Reason(new([], FrequencyHz, false), "overlap"));
        Assert.Equal("the anchor's frequency is not known", Reason(new([100], null, false), "clearanceDb"));
        Assert.Equal("nothing else is heard in the anchor's own band at its hits", Reason(new([Hits[0].Frame], FrequencyHz, true), "clearanceDb", Kick.Signal));
        Assert.Equal("the anchor is silent at its hits", Reason(new([Hits[0].Frame], FrequencyHz, false), "clearanceDb", anchorSignal: Signal.Allocate(1, Kick.Signal.Frames)));
        Assert.Equal("it takes 4 hits at which both are heard in the anchor's own band", Reason(new([Hits[0].Frame], FrequencyHz, false), "phaseDegrees"));
    }

    [Fact]
    public void APartThatTheMixDoesNotHaveCostsItNothingThatCouldBeMeasured() =>
        Assert.Equal("it is not heard in the mix", Hear(PeakCostMeter.Type, isWithin: false, Sum(), Sum(), isInMix: false)["peakCostDb"].Reason);

    private static string? Reason(MeterAnchor anchor, string measure, Signal? signal = null, Signal? anchorSignal = null) =>
        Hear(AnchorMeter.Type, anchor, true, signal ?? Others["bass"], anchorSignal ?? Kick.Signal)[measure].Reason;

    private static Dictionary<string, Measurement> Hear(MeterType type, bool isWithin, Signal one, Signal other, bool isInMix = true) =>
        Hear(type, new([.. Hits.Select(hit => hit.Frame)], FrequencyHz, isWithin), isInMix, one, other);

    private static Dictionary<string, Measurement> Hear(MeterType type, MeterAnchor anchor, bool isInMix, Signal one, Signal other)
    {
        var meter = type.Create(type.Measures.Select(measure => measure.Name).ToHashSet());
        meter.Prepare(new(Kick.RateHz, [one.Channels, other.Channels], 3000) { Anchor = anchor, IsInMix = isInMix });
        for (var start = 0; start < one.Frames; start += 3000)
            meter.Hear([Part(one, start), Part(other, start)]);
        return meter.Conclude().ToDictionary(measurement => measurement.Name);

        Signal Part(Signal signal, int start)
        {
            var part = Signal.Allocate(signal.Channels, Math.Min(3000, one.Frames - start));
            for (var channel = 0; channel < signal.Channels; channel++)
            {
                for (var frame = 0; frame < part.Frames && start + frame < signal.Frames; frame++)
                    part[channel][frame] = signal[channel][start + frame];
            }

            return part;
        }
    }

    private static Signal Sum(bool withKick = true)
    {
        var all = withKick ? Others.Values.Prepend(Kick.Signal).ToList() : [.. Others.Values];
        var channels = all.Max(signal => signal.Channels);
        return Signals.Fill(channels, all.Max(signal => signal.Frames), (channel, frame) =>
            all.Sum(signal => frame < signal.Frames ? signal[Math.Min(channel, signal.Channels - 1)][frame] : 0));
    }

    private static CollisionMap Measure()
    {
        using var map = LowEndMap.Measure(MeasuredSong.Stems(Kick.RateHz, [("kick", Kick.Signal), .. Others.Select(other => (other.Key, other.Value))]), Kick.RateHz, 2, default);
        return CollisionMap.Measure(map, new(0, [], FrequencyHz, Hits), 2, default);
    }
}
