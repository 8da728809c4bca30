using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Hits;
using RenderGraph.Nodes.Measures.Layers;
using RenderGraph.Nodes.Measures.Parts;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Layers;

public sealed class LayerMapTests
{
    private const int Rate = MeasuredSong.SampleRateHz;
    private static readonly double[] Beats = MeasuredSong.Beats(0.25, 0.5, 10);

    [Fact]
    public void OneKickAndOneBassAreNoLayers() => Assert.Empty(Measure(("kick", Kick(52, 0.7)), ("bass", Signals.Sine(55, Rate, 6 * Rate, 0.3))));

    [Fact]
    public void AFlippedLayerIsToBeTurnedOver()
    {
        var layer = Second(Measure(("in", Kick(52, 0.7)), ("out", MeasuredSong.Scaled(Kick(52, 0.7), -0.8))));
        Assert.Equal((LayerVerdict.TurnOver, 0.0), (layer.Verdict, layer.ShiftMs));
        Assert.Equal(20 * Math.Log10(1.8 / 0.2), layer.GainDb!.Value, 0.1);
        Assert.Equal(20 * Math.Log10(0.2), layer.AddsDb, 0.1);
    }

    [Fact]
    public void ALateLayerIsToBeShiftedBack()
    {
        // 7 ms is more than a third of a period: in part they cancel.
        var layer = Second(Measure(("in", Kick(52, 0.7)), ("out", MeasuredSong.Later(MeasuredSong.Scaled(Kick(52, 0.7), 0.8), 336))));
        Assert.Equal(LayerVerdict.Shift, layer.Verdict);
        Assert.Equal(-7, layer.ShiftMs, 0.05);
    }

    [Fact]
    public void ALateAndFlippedLayerIsToBeTurnedOverAndShifted()
    {
        var layer = Second(Measure(("in", Kick(52, 0.7)), ("out", MeasuredSong.Later(MeasuredSong.Scaled(Kick(52, 0.7), -0.8), 240))));
        Assert.Equal(LayerVerdict.TurnOver, layer.Verdict);
        Assert.Equal(-5, layer.ShiftMs, 0.05);
    }

    [Fact]
    public void TheSameSoundOnceMoreIsToBeMuted()
    {
        var layer = Second(Measure(("kick", Kick(52, 0.7)), ("copy", Kick(52, 0.4))));
        Assert.Equal((LayerVerdict.Mute, LayerReason.Duplicate), (layer.Verdict, layer.Reason));
    }

    [Fact]
    public void OfSixKicksAtOnceOneOrTwoAreKept()
    {
        var random = new Random(7);
        (string, Signal)[] kicks = [.. Enumerable.Range(0, 6).Select(index => ($"layer{index}", MeasuredSong.Later(Kick(46 + (4 * index), 0.2 + (0.1 * random.NextDouble())), random.Next(200))))];
        var group = Assert.Single(Measure([.. kicks, ("bass", Signals.Sine(41, Rate, 6 * Rate, 0.2))]));
        Assert.Equal(6, group.Layers.Count);
        Assert.InRange(group.Layers.Count(layer => layer.Verdict != LayerVerdict.Mute), 1, 2);
        Assert.Equal((LayerVerdict.Keep, LayerReason.Strongest), (group.Layers[0].Verdict, group.Layers[0].Reason));
    }

    [Fact]
    public void KicksInDifferentPlacesAreNoLayers() =>
        Assert.Empty(Measure(("one", Kick(52, 0.7)), ("other", MeasuredSong.Kick(6, 60, 0.7, [.. Beats.Select(beat => beat + 0.25)]))));

    private static Signal Kick(double frequencyHz, double amplitude) => MeasuredSong.Kick(6, frequencyHz, amplitude, Beats);

    private static Layer Second(IReadOnlyList<LayerGroup> groups) => Assert.Single(groups).Layers[1];

    private static IReadOnlyList<LayerGroup> Measure(params (string Name, Signal Samples)[] stems)
    {
        using var map = MeasuredSong.Measure(stems);
        var loudest = map.Stems.Max(stem => stem.LowEnd.LevelDbfs);
        return LayerMap.Measure(map, [.. map.Stems.Select(stem => PartGuess.Of(stem, loudest))], stem =>
        {
            var finder = new HitFinder(Rate);
            finder.Add(stems[stem].Samples);
            return finder.Finish();
        });
    }
}
