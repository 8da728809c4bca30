using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Nodes.Measures.Hits;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dynamics;

/// <summary>The keyed cut drawn from a list of hits.</summary>
public sealed class KeyedCutHitsTests
{
    private const int SampleRateHz = 48000;
    private const double CentreHz = 60;
    private const int FramesPerMs = SampleRateHz / 1000;

    [Theory]
    [InlineData(9600)] // on the grid of control steps
    [InlineData(9601)]
    [InlineData(9615)]
    public void TheCutArrivesWithTheOnsetHoldsAndGivesAllBack(int onset)
    {
        var depths = DepthsDb([new(onset, 1)], ("depthDb", 12), ("attackMs", 6), ("holdMs", 50), ("releaseMs", 100));
        Assert.All(depths[..(onset - (6 * FramesPerMs) - 31)], depth => Assert.Equal(0, depth));
        Assert.All(depths[onset..(onset + (50 * FramesPerMs) - 16)], depth => Assert.Equal(12, depth, 1e-6));
        Assert.Equal(6, depths[onset + (100 * FramesPerMs)], 0.1); // half of it, half way
        Assert.All(depths[(onset + (150 * FramesPerMs) + 16)..], depth => Assert.Equal(0, depth));
    }

    // (1 - cos) / 2 on both sides: the closed form at every control step, a straight line of gain between them.
    [Fact]
    public void FallAndReleaseAreHalfPeriodsOfACosine()
    {
        const int Onset = 9600;
        var depths = DepthsDb([new(Onset, 1)], ("depthDb", 10), ("attackMs", 8), ("holdMs", 40), ("releaseMs", 200));
        var full = Onset - 15;
        for (var frame = full - (8 * FramesPerMs) + 1; frame < full; frame++)
        {
            if (frame % 16 == 0)
                Assert.Equal(5 * (1 - Math.Cos(Math.PI * (frame - full + (8.0 * FramesPerMs)) / (8 * FramesPerMs))), depths[frame], 1e-6);
        }

        var release = Onset + (40 * FramesPerMs);
        for (var frame = release + 16 - (release % 16); frame < release + (200 * FramesPerMs); frame += 16)
            Assert.Equal(5 * (1 + Math.Cos(Math.PI * (frame - release) / (200.0 * FramesPerMs))), depths[frame], 1e-6);
    }

    [Fact]
    public void OutsideTheHitsNotABitChanges()
    {
        Hit[] hits = [new(10000, 1), new(30000, 0.5)];
        var signal = Signals.Noise(60000, channels: 2);
        var output = Run(signal, hits, ("attackMs", 5), ("holdMs", 20), ("releaseMs", 50));
        foreach (var (from, to) in new[] { (0, 9700), (14000, 29700), (34000, 60000) })
            Assert.True(Signals.AreSameBits(signal.Slice(from, to - from), output.Slice(from, to - from)));
        Assert.False(Signals.AreSameBits(signal.Slice(10000, 2000), output.Slice(10000, 2000)));
        Assert.True(Signals.AreSameBits(signal, Run(signal, [])));
    }

    [Fact]
    public void TheGainIsNeverAboveZeroDecibelsAndOverlapsDoNotAddUp()
    {
        var random = new Random(4);
        for (var draw = 0; draw < 20; draw++)
        {
            Hit[] hits = [.. Enumerable.Range(0, 40).Select(_ => new Hit(random.Next(96000), 0.01 + random.NextDouble())).OrderBy(hit => hit.Frame)];
            var depths = DepthsDb(hits, ("depthDb", 9), ("strengthFraction", 0.7), ("releaseMs", 20 + random.Next(500)));
            Assert.All(depths, depth => Assert.InRange(depth, 0, 9 + 1e-9));
        }
    }

    [Theory]
    [InlineData(0.5, 36)]
    [InlineData(5, 36)]
    [InlineData(1, 12)]
    public void NoSlopeIsSteeperThanTheLimitAndYetTheCutArrives(double attackMs, double depthDb)
    {
        const int Onset = 9600;
        var depths = DepthsDb([new(Onset, 1)], ("depthDb", depthDb), ("attackMs", attackMs), ("holdMs", 10), ("releaseMs", 5));
        Assert.Equal(depthDb, depths[Onset], 1e-6);
        for (var frame = 16; frame + 16 < depths.Length; frame += 16)
            Assert.InRange(Math.Abs(depths[frame + 16] - depths[frame]) / 16 * FramesPerMs, 0, HitCurve.SteepestDbPerMs * 1.001);
    }

    // Common practice, no source: what lies 60 dB and more below a tone, three octaves and more above it, is not heard as a click.
    [Theory]
    [InlineData(6, 5)]
    [InlineData(12, 5)]
    [InlineData(24, 0.5)]
    public void ASineBassDoesNotClick(double depthDb, double attackMs)
    {
        var bass = Signals.Sine(55, SampleRateHz, 2 * SampleRateHz, amplitude: 0.5);
        var output = Run(bass, [new(48123, 1)], ("depthDb", depthDb), ("attackMs", attackMs), ("releaseMs", 5));
        var removed = Signals.Fill(1, bass.Frames, (_, frame) => output[0][frame] - bass[0][frame]);
        var clicks = Signal.Allocate(1, bass.Frames);
        new SectionCascade(SectionDesign.HighPass(1000, 48, Alignment.Butterworth, SampleRateHz)).Process(0, removed, clicks);
        Assert.InRange(Spectrum.ToDb(Signals.Peak(clicks) / 0.5), -200, -60);
        Assert.InRange(Signals.Peak(removed), 0.1, 0.5);
    }

    [Fact]
    public void TheDepthFollowsTheStrengthAsFarAsAskedAndNeverBeyondIt()
    {
        Hit[] hits = [new(10000, 1), new(30000, 0.3), new(50000, 1.4)];
        Assert.Equal([10, 10, 10], At(hits, 0), new Near(1e-6));
        Assert.Equal([10, 6.5, 10], At(hits, 0.5), new Near(1e-6));
        Assert.Equal([10, 3, 10], At(hits, 1), new Near(1e-6));

        static double[] At(Hit[] hits, double fraction)
        {
            var depths = DepthsDb(hits, ("depthDb", 10), ("strengthFraction", fraction));
            return [.. hits.Select(hit => depths[(int)hit.Frame + 100])];
        }
    }

    [Fact]
    public void AReleaseInBeatsLastsSoMuchOfABeat()
    {
        Hit[] hits = [new(9600, 1)];
        var told = DepthsDb(hits, ("holdMs", 20), ("releaseMs", 125));
        Assert.Equal(told, DepthsDb(hits, ("holdMs", 20), ("releaseBeats", 0.25), ("beatMs", 500.0)));
        Assert.NotEqual(told, DepthsDb(hits, ("holdMs", 20), ("releaseBeats", 0.5), ("beatMs", 500.0)));
    }

    [Fact]
    public void AHitAtTheVeryStartIsFullAtOnce() => Assert.Equal(6, DepthsDb([new(0, 1)])[0], 1e-6);

    [Fact]
    public void WhatComesLateIsCutAsLate()
    {
        const int Behind = 777;
        var signal = Signals.Noise(40000);
        var late = Signals.Fill(1, signal.Frames + Behind, (_, frame) => frame < Behind ? 0 : signal[0][frame - Behind]);
        var node = Create([new(10007, 1), new(20000, 0.4)]);
        node.Prepare(new(SampleRateHz, [new(1, LatencyFrames: Behind), new(1)], 1, late.Frames));
        var output = Signal.Allocate(1, late.Frames);
        node.Process(new Block(0, [late, Signals.Silence(late.Frames)], output));

        var inTime = Run(signal, [new(10007, 1), new(20000, 0.4)]);
        Assert.InRange(Signals.LargestDifference(inTime, output.Slice(Behind, signal.Frames)), 0, 1e-12);
    }

    [Fact]
    public void ItNeedsNoDelayAndHearsNoKey()
    {
        var node = Create([new(10000, 1)]);
        Assert.Equal((0, 0), (node.LatencyFrames(SampleRateHz), node.KeyLeadFrames(SampleRateHz)));
        Assert.False(node.MustListen);
        var signal = Signals.Noise(30000);
        var quiet = NodeRunner.Run(node, SampleRateHz, [signal, Signals.Silence(signal.Frames)]);
        var loud = NodeRunner.Run(node, SampleRateHz, [signal, Signals.Noise(signal.Frames, seed: 9, amplitude: 1)]);
        Assert.True(Signals.AreSameBits(quiet, loud));
        Assert.Equal(["hitCount", "firstHitSeconds", "deepestCutDb", "activeFraction"], node.Figures.Select(figure => figure.Name));
        Assert.Equal(10000.0 / SampleRateHz, node.Figures[1].Value);
    }

    // tests/Reference/copper-lantern: hits measured in the kick, cut in the bass and the sub; ghosts by their strength.
    [Theory]
    [InlineData("bass")]
    [InlineData("sub")]
    public void OnARecordedSessionTheBassIsDownByTheDepthDuringEveryHitOnTime(string stem)
    {
        const double DepthDb = 6;
        var (kick, sampleRateHz) = CopperLantern.Read("kick");
        var (before, _) = CopperLantern.Read(stem);
        var finder = new HitFinder(sampleRateHz);
        finder.Add(kick);
        var node = NodeFactory.Create(
            KeyedCutNode.Type, ("frequencyHz", 51.5), ("depthDb", DepthDb), ("strengthFraction", 1), ("holdMs", 60), ("releaseMs", 60), ("keyHits", finder.Finish()));
        var after = NodeRunner.Run(node, sampleRateHz, [before, kick]);
        var band = Signal.Allocate(1, before.Frames);
        new SectionCascade([SectionDesign.BandPass(51.5, 2, sampleRateHz)]).Process(0, before, band);
        var measured = 0;
        foreach (var (frame, velocity, _) in CopperLantern.Hits("kick"))
        {
            var (power, product) = (0.0, 0.0);
            for (var at = frame; at < frame + (sampleRateHz * 50 / 1000); at++)
                (power, product) = (power + (band[0][at] * band[0][at]), product + (band[0][at] * (after[0][at] - before[0][at])));
            if (power < 1e-5)
                continue; // the part rests
            measured++;
            Assert.Equal(-DepthDb * Math.Min(1, velocity), Decibels.FromAmplitude(1 + (product / power)), 0.5); // strengths are within 8 % of velocities
        }

        Assert.InRange(measured, 8, 28);
        Assert.True(Signals.AreSameBits(before.Slice(0, 5978 - 300), after.Slice(0, 5978 - 300)));
    }

    private static KeyedCutNode Create(IReadOnlyList<Hit> hits, params (string Name, object Value)[] values) =>
        (KeyedCutNode)NodeFactory.Create(KeyedCutNode.Type, [("frequencyHz", CentreHz), ("keyHits", hits), .. values]);

    private static Signal Run(Signal signal, IReadOnlyList<Hit> hits, params (string Name, object Value)[] values) =>
        NodeRunner.Run(Create(hits, values), SampleRateHz, [signal, Signals.Silence(signal.Frames)], outputChannels: signal.Channels);

    /// <summary>The depth at every frame of two seconds: the output is signal + (g - 1) band, and the band is known.</summary>
    private static double[] DepthsDb(IReadOnlyList<Hit> hits, params (string Name, object Value)[] values)
    {
        var signal = Signals.Noise(2 * SampleRateHz);
        var band = Signal.Allocate(1, signal.Frames);
        new SectionCascade([SectionDesign.BandPass(CentreHz, 2, SampleRateHz)]).Process(0, signal, band);
        var output = Run(signal, hits, values);
        var depths = new double[signal.Frames];
        for (var frame = 0; frame < signal.Frames; frame++)
        {
            var lift = output[0][frame] == signal[0][frame] ? 0 : (output[0][frame] - signal[0][frame]) / band[0][frame];
            depths[frame] = lift == 0 ? 0 : -20 * Math.Log10(1 + lift);
        }

        return depths;
    }

    private sealed class Near(double tolerance) : IEqualityComparer<double>
    {
        public bool Equals(double x, double y) => Math.Abs(x - y) <= tolerance;

        public int GetHashCode(double obj) => 0;
    }
}
