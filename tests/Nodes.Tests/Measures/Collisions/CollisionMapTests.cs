using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Collisions;

/// <summary>The closed forms: two sines of amplitudes a and b, phi apart, add up to sqrt(a^2 + b^2 + 2ab cos phi).</summary>
public sealed class CollisionMapTests
{
    private const int Rate = MeasuredSong.SampleRateHz;
    private const double ToneHz = 60;

    private static readonly Hit[] Hits = [.. MeasuredSong.Beats(0.5, 0.5, 8).Select(time => new Hit((long)(time * Rate), 1))];

    [Theory]
    [InlineData(0)]
    [InlineData(60)]
    [InlineData(90)]
    [InlineData(120)]
    [InlineData(-90)]
    public void SummationGainOfEqualTonesIsTheClosedForm(double degrees)
    {
        var part = Compare(1, 1, degrees);
        var expected = 20 * Math.Log10(2 * Math.Cos(degrees / 2 * Math.PI / 180));
        Assert.Equal(expected, part.SummationGainDb!.Value, 0.1);
        Assert.All(part.Hits, hit => Assert.Equal(expected, hit.SummationGainDb!.Value, 0.1));
        Assert.Equal(degrees, part.PhaseDegrees!.Value, 0.5);
        Assert.Equal(1, part.PhaseConsistency!.Value, 0.001);
    }

    [Fact]
    public void EqualTonesUpsideDownLeaveNothing()
    {
        var part = Compare(1, 1, 180);
        Assert.True(part.SummationGainDb < -80, $"{part.SummationGainDb} dB");
        Assert.Equal(CollisionKind.Cancelling, part.Kind);
        Assert.Equal(RemedyKind.Polarity, part.Remedy.Kind);
    }

    [Theory]
    [InlineData(-6, 0)]
    [InlineData(-6, 180)]
    [InlineData(-20, 90)]
    [InlineData(6, 45)]
    public void SummationGainOfUnequalTonesIsTheClosedFormOverTheLouder(double partDb, double degrees)
    {
        var b = Math.Pow(10, partDb / 20);
        var part = Compare(1, b, degrees);
        var sum = Math.Sqrt(1 + (b * b) + (2 * b * Math.Cos(degrees * Math.PI / 180)));
        Assert.Equal(20 * Math.Log10(sum / Math.Max(1, b)), part.SummationGainDb!.Value, 0.1);
        Assert.Equal(partDb, part.PartDb!.Value, 0.05);
    }

    [Theory]
    [InlineData(0, 1)]
    [InlineData(-3, 0.501)]
    [InlineData(-10, 0.1)]
    [InlineData(10, 1)]
    public void OverlapIsTheShareOfTheAnchorThatIsCovered(double partDb, double overlap) =>
        Assert.Equal(overlap, Compare(0.3, 0.3 * Math.Pow(10, partDb / 20), 30).Overlap, 0.003);

    [Fact]
    public void APartElsewhereInTheLowEndIsClear()
    {
        var map = Measure(("kick", Signals.Sine(50, Rate, 5 * Rate, 0.5)), ("keys", Signals.Sine(200, Rate, 5 * Rate, 0.5)));
        Assert.True(map.Stems[0].Overlap < 0.001);
        Assert.Equal(CollisionKind.Clear, map.Stems[0].Kind);
        Assert.Equal(RemedyKind.None, map.Stems[0].Remedy.Kind);
        Assert.Empty(map.Worst(10));
        Assert.True(map.ClearanceDb > 60);
    }

    [Fact]
    public void AThirdOfAPeriodOfDelayIsFoundAsAShift()
    {
        // 120 degrees behind at 60 Hz is 5.56 ms late; turned over it would still be 60 degrees off.
        var part = Compare(1, 1, -120);
        Assert.Equal(CollisionKind.Cancelling, part.Kind);
        Assert.Equal(RemedyKind.Shift, part.Remedy.Kind);
        Assert.Equal(-5.56, part.Remedy.ShiftMs, 0.05);
        Assert.Equal(6.02, part.Remedy.GainDb!.Value, 0.1);
    }

    [Fact]
    public void APhaseThatChangesFromHitToHitIsMaskingAndNotCancelling()
    {
        // 61.7 Hz against 60: after half a second the phase is elsewhere.
        var map = Measure(("kick", Signals.Sine(ToneHz, Rate, 5 * Rate, 0.5)), ("bass", Signals.Sine(61.7, Rate, 5 * Rate, 0.5)));
        Assert.True(map.Stems[0].PhaseConsistency < 0.5, $"{map.Stems[0].PhaseConsistency}");
        Assert.Equal(CollisionKind.Masking, map.Stems[0].Kind);
        Assert.Equal(RemedyKind.KeyedCut, map.Stems[0].Remedy.Kind);
        Assert.Equal(8, map.Worst(10).Count);
    }

    [Theory]
    [InlineData(-6)]
    [InlineData(3)]
    [InlineData(12)]
    public void ClearanceIsTheAnchorOverEverythingElseTogether(double clearanceDb)
    {
        // Two tones in phase at half the amplitude each are one.
        var rest = Math.Pow(10, -clearanceDb / 20) / 2 * 0.2;
        var map = Measure(
            ("kick", Signals.Sine(ToneHz, Rate, 5 * Rate, 0.2)), ("bass", Signals.Sine(ToneHz, Rate, 5 * Rate, rest)), ("sub", Signals.Sine(ToneHz, Rate, 5 * Rate, rest)));
        Assert.Equal(clearanceDb, map.ClearanceDb!.Value, 0.01);
    }

    [Fact]
    public void PeakCostIsWhatThePeakLosesWithoutAPart()
    {
        // In phase and 3 dB under the anchor: 20 log10(1 + 10^(-3/20)) = 4.65 dB.
        var map = Measure(("kick", Signals.Sine(ToneHz, Rate, 5 * Rate, 0.4)), ("bass", Signals.Sine(ToneHz, Rate, 5 * Rate, 0.4 * Math.Pow(10, -3 / 20.0))));
        Assert.Equal(4.65, map.Stems[0].PeakCostDb!.Value, 0.01);
        Assert.Equal(20 * Math.Log10(0.4 * (1 + Math.Pow(10, -3 / 20.0))), map.MixPeakDbfs!.Value, 0.01);
    }

    [Fact]
    public void WithoutHitsThereIsNothingToMeasure()
    {
        using var song = MeasuredSong.Measure(("kick", Signals.Sine(ToneHz, Rate, Rate)), ("bass", Signals.Sine(ToneHz, Rate, Rate)));
        var map = CollisionMap.Measure(song, new(0, [], ToneHz, []), 2, default);
        Assert.Null(map.ClearanceDb);
        Assert.Null(map.MixPeakDbfs);
        Assert.Null(map.Stems[0].PeakCostDb);
        Assert.Equal(CollisionKind.Clear, map.Stems[0].Kind);
    }

    private static StemCollision Compare(double anchor, double part, double degrees) =>
        Measure(("kick", Signals.Sine(ToneHz, Rate, 5 * Rate, anchor)), ("bass", Signals.Sine(ToneHz, Rate, 5 * Rate, part, degrees * Math.PI / 180))).Stems[0];

    private static CollisionMap Measure(params (string Name, Signal Samples)[] stems)
    {
        using var song = MeasuredSong.Measure(stems);
        return CollisionMap.Measure(song, new(0, [], stems.Length == 2 && stems[1].Name == "keys" ? 50 : ToneHz, Hits), 2, default);
    }
}
