using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dynamics;

/// <summary>
/// The keyed cut on a session that nobody here made: 28 hits of a recorded kick, 8 of them ghosts, that settles at 51.5 Hz
/// (tests/Reference/copper-lantern, with its source and its truth beside it).
/// </summary>
public sealed class CopperLanternTests
{
    private const double AnchorHz = 51.5;

    [Theory]
    [InlineData("bass", 6.0)]
    [InlineData("sub", 8.0)]
    public void TheBassIsDownByTheDepthDuringHitsAndUntouchedBeforeTheFirst(string stem, double depthDb)
    {
        var (kick, sampleRateHz) = CopperLantern.Read("kick");
        var (before, _) = CopperLantern.Read(stem);
        var node = (KeyedCutNode)NodeFactory.Create(KeyedCutNode.Type, ("frequencyHz", AnchorHz), ("q", 2), ("depthDb", depthDb));
        var latency = NodeRunner.LatencyFrames(node, sampleRateHz);
        var late = NodeRunner.Run(node, sampleRateHz, [Signals.WithTail(before, latency), Signals.WithTail(kick, latency)]);
        var after = late.Slice(latency, before.Frames);
        var hits = CopperLantern.Hits("kick");

        // Look-ahead, one control step, and a quarter period that a band is heard late by: nothing may move earlier than that.
        var earliest = hits[0].Frame - latency;
        Assert.True(Signals.AreSameBits(before.Slice(0, earliest), after.Slice(0, earliest)));
        Assert.False(Signals.AreSameBits(before.Slice(0, hits[^1].Frame), after.Slice(0, hits[^1].Frame)));

        // What was taken away is (1 - g) times the band around the anchor: the regression gives g there, whatever else the bass plays.
        var band = Signal.Allocate(1, before.Frames);
        new SectionCascade([SectionDesign.BandPass(AnchorHz, 2, sampleRateHz)]).Process(0, before, band);
        var measured = 0;
        foreach (var (frame, _, _) in hits.Where(hit => !hit.IsGhost))
        {
            var (power, product) = (0.0, 0.0);
            for (var at = frame; at < frame + (sampleRateHz * 50 / 1000); at++)
            {
                power += band[0][at] * band[0][at];
                product += band[0][at] * (after[0][at] - before[0][at]);
            }

            if (power < 1e-5)
                continue; // the part rests
            measured++;
            Assert.InRange(Decibels.FromAmplitude(1 + (product / power)), -depthDb - 0.1, -depthDb + 0.1);
        }

        Assert.InRange(measured, 5, 20);
        Assert.Equal(hits.Count, node.Figures.Single(figure => figure.Name == "hitCount").Value);
    }
}
