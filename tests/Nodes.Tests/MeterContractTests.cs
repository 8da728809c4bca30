using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Tests.Measures;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests;

/// <summary>What every meter in the catalog keeps: see <see cref="IMeter"/>. A new one is held to it from the day it is in the list.</summary>
public sealed class MeterContractTests
{
    private const int Rate = MeasuredSong.SampleRateHz, Frames = 3 * Rate;

    private static readonly long[] Hits = [0, 20_001, 24_000, 66_123, Frames - 5000];

    private const string AtHits = " at the hits";

    /// <summary>All meters, those again that are others at the hits.</summary>
    public static TheoryData<string> TypeNames =>
        [.. BuiltInMeters.Catalog.Types.Select(type => type.Name), .. BuiltInMeters.Catalog.Types.Where(type => type.CreateAtHits is not null).Select(type => type.Name + AtHits)];

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void BlocksOfAnyLengthGiveTheSameBits(string typeName)
    {
        var whole = Measure(typeName, Frames);
        Assert.All(whole, measurement => Assert.True(measurement.Value is not null, $"{measurement.Name}: {measurement.Reason}"));
        foreach (var blockFrames in new[] { 64, 777, 4096 })
            Assert.Equal(whole, Measure(typeName, blockFrames));
    }

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void EveryMeasureIsTheSameWhicheverOthersAreWanted(string typeName)
    {
        var type = TypeOf(typeName);
        var all = Measure(typeName, 4096);
        Assert.Equal(type.Measures.Select(measure => measure.Name), all.Select(measurement => measurement.Name));
        foreach (var measure in type.Measures)
            Assert.Equal(all.Single(measurement => measurement.Name == measure.Name), Assert.Single(Measure(typeName, 4096, measure.Name)));
    }

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void ASecondPrepareLeavesNoResidue(string typeName)
    {
        var type = TypeOf(typeName);
        var meter = type.Create(NamesOf(type));
        Hear(meter, Heard(type, seed: 7), 4096);
        meter.Conclude();
        Hear(meter, Heard(type, seed: 1), 4096);
        Assert.Equal(Measure(typeName, 4096), meter.Conclude());
    }

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void HearAllocatesNothing(string typeName)
    {
        const int BlockFrames = 4096;
        var type = TypeOf(typeName);
        var (meter, heard) = (type.Create(NamesOf(type)), Heard(type, seed: 1));
        meter.Prepare(FormatOf(heard, BlockFrames));

        // The runtime allocates while it compiles; a meter would do so again and again.
        var allocating = 0;
        for (var start = 0; start + BlockFrames <= Frames; start += BlockFrames)
        {
            var block = heard.ConvertAll(signal => signal.Slice(start, BlockFrames)).ToArray();
            var before = GC.GetAllocatedBytesForCurrentThread();
            meter.Hear(block);
            allocating += GC.GetAllocatedBytesForCurrentThread() > before ? 1 : 0;
        }

        Assert.InRange(allocating, 0, 3);
    }

    /// <summary>Only what needs the measured signal alone is taken of every point that asks for all, and of files.</summary>
    [Theory]
    [MemberData(nameof(TypeNames))]
    public void WhatIsUsualHearsOneSignal(string typeName) => Assert.True(!TypeOf(typeName).IsUsual || TypeOf(typeName).Ports is [MeterPort.Measured]);

    /// <summary>Of every measure it is said what it is at the hits, or why it cannot be taken there.</summary>
    [Fact]
    public void EveryMeasureSaysWhatItIsAtTheHitsOrWhyNot() =>
        Assert.All(BuiltInMeters.Catalog.Types.SelectMany(type => type.Measures), measure => Assert.True(measure.AtHits is null != measure.NotAtHits is null, measure.Name));

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void NothingHeardIsNotMeasurableAndSaysWhy(string typeName)
    {
        var type = TypeOf(typeName);
        var meter = type.Create(NamesOf(type));
        meter.Prepare(FormatOf(Heard(type, seed: 1), 4096));
        Assert.All(meter.Conclude(), measurement => Assert.True(measurement is { Value: null, Reason.Length: > 5, AtFrame: null } or { Value: 0 }, measurement.ToString()));
    }

    // At the hits, a type with what can be taken there.
    private static MeterType TypeOf(string name)
    {
        if (!name.EndsWith(AtHits, StringComparison.Ordinal))
            return BuiltInMeters.Catalog.Types.Single(type => type.Name == name);
        var type = TypeOf(name[..^AtHits.Length]);
        return type with { Measures = [.. type.Measures.Where(measure => measure.AtHits is not null)], Create = type.CreateAtHits! };
    }

    private static HashSet<string> NamesOf(MeterType type) => [.. type.Measures.Select(measure => measure.Name)];

    private static IReadOnlyList<Measurement> Measure(string typeName, int blockFrames, string? measure = null)
    {
        var type = TypeOf(typeName);
        var meter = type.Create(measure is null ? NamesOf(type) : new HashSet<string> { measure });
        Hear(meter, Heard(type, seed: 1), blockFrames);
        return meter.Conclude();
    }

    private static void Hear(IMeter meter, List<Signal> heard, int blockFrames)
    {
        meter.Prepare(FormatOf(heard, blockFrames));
        for (var start = 0; start < Frames; start += blockFrames)
            meter.Hear([.. heard.Select(signal => signal.Slice(start, Math.Min(blockFrames, Frames - start)))]);
    }

    // The first is a mix with the second in it: a kick among stereo noise with an offset.
    private static List<Signal> Heard(MeterType type, int seed)
    {
        var (kick, noise) = (MeasuredSong.Kick(3, 55, 0.4, [.. Hits.Select(hit => hit / (double)Rate)]), Signals.Noise(Frames, seed, amplitude: 0.2, channels: 2));
        var mix = Signals.Fill(2, Frames, (channel, frame) => 0.01 + kick[0][frame] + noise[channel][frame]);
        return [.. type.Ports.Select((port, index) => index == 0 ? mix : kick)];
    }

    private static MeterFormat FormatOf(List<Signal> heard, int blockFrames) =>
        new(Rate, [.. heard.Select(signal => signal.Channels)], blockFrames) { Anchor = new(Hits, 55, IsWithin: true), IsInMix = true };
}
