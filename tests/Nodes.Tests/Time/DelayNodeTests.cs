using CsCheck;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Time;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Time;

public sealed class DelayNodeTests
{
    private const int SampleRateHz = 48000;

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(300)]
    [InlineData(5000)]
    public void AWholeDelayCopiesEverySampleAndAddsNoLatency(int delayFrames)
    {
        var node = Delay("delayFrames", delayFrames);
        var input = Signals.Noise(4000, channels: 2);
        var output = NodeRunner.Run(node, SampleRateHz, input, [700, 1, 300]);
        Assert.Equal(0, node.LatencyFrames(SampleRateHz));
        Assert.True(Signals.AreSameBits(Moved(input, delayFrames), output));
    }

    [Theory]
    [InlineData(-1)]
    [InlineData(-480)]
    public void ANegativeDelayIsEarlierOnceItsLatencyIsTakenOff(int delayFrames)
    {
        var input = Signals.Noise(4000, channels: 2);
        Assert.True(Signals.AreSameBits(Moved(input, delayFrames), Aligned(Delay("delayFrames", delayFrames), input)));
    }

    [Fact]
    public void MillisecondsBecomeFramesAtTheRenderRate()
    {
        Assert.Equal(480, Delay("delayMs", -10).LatencyFrames(48000));
        Assert.Equal(441, Delay("delayMs", -10).LatencyFrames(44100));

        // 2.3 ms is 110.4 frames at 48 kHz: 111 ahead are needed, and 31 more to interpolate.
        Assert.Equal(142, Delay("delayMs", -2.3).LatencyFrames(48000));

        // 0.7 * 30000 / 1000 comes out a rounding error away from 21, and is 21.
        Assert.Equal(21, Delay("delayMs", -0.7).LatencyFrames(30000));
    }

    [Theory]
    [InlineData(0.5)]
    [InlineData(10.25)]
    [InlineData(-3.7)]
    [InlineData(100.001)]
    [InlineData(-250.999)]
    public void AFractionalDelayMovesASineByExactlyThatMuch(double delayFrames)
    {
        foreach (var frequencyHz in new[] { 50.0, 997.0, 15000.0 })
        {
            var moved = Aligned(Delay("delayFrames", delayFrames), Signals.Sine(frequencyHz, SampleRateHz, 4000));
            for (var frame = 400; frame < moved.Frames - 400; frame++)
                Assert.Equal(Math.Sin(2 * Math.PI * frequencyHz * (frame - delayFrames) / SampleRateHz), moved[0][frame], 3e-5);
        }
    }

    [Fact]
    public void ThereAndBackByWholeFramesIsNothingAtAll()
    {
        var input = Signals.WithTail(Signals.Noise(3000, channels: 2), 700);
        var back = Aligned(Delay("delayFrames", -333), NodeRunner.Run(Delay("delayFrames", 333), SampleRateHz, input));
        Assert.True(Signals.AreSameBits(input.Slice(0, 3000), back.Slice(0, 3000)));
    }

    [Fact]
    public void NoCutIntoBlocksChangesABit()
    {
        var input = Signals.Noise(1500, channels: 2);
        foreach (var delayFrames in new[] { 77, 12.3, 200.5, -4.5 })
        {
            var whole = NodeRunner.Run(Delay("delayFrames", delayFrames), SampleRateHz, input, [1500]);
            Gen.Int[1, 300].Array[1, 6].Sample(
                cuts => Signals.AreSameBits(whole, NodeRunner.Run(Delay("delayFrames", delayFrames), SampleRateHz, input, cuts)), iter: 50);
        }
    }

    [Fact]
    public void ExactlyOneOfTheTwoIsGiven()
    {
        Assert.Equal(
            ["delayMs: neither delayMs nor delayFrames is given, and a delay needs one of them. Add delayMs."], NodeFactory.Faults(DelayNode.Type));
        Assert.Equal(
            ["delayFrames: both delayMs and delayFrames are given, and a delay takes only one of them. Delete one of the two."],
            NodeFactory.Faults(DelayNode.Type, ("delayMs", 1.0), ("delayFrames", 48.0)));
    }

    private static INode Delay(string name, double value) => NodeFactory.Create(DelayNode.Type, (name, value));

    // As the engine does: the output starts where its latency ends.
    private static Signal Aligned(INode node, Signal input)
    {
        var latencyFrames = node.LatencyFrames(SampleRateHz);
        return NodeRunner.Run(node, SampleRateHz, Signals.WithTail(input, latencyFrames)).Slice(latencyFrames, input.Frames);
    }

    private static Signal Moved(Signal input, int delayFrames) => Signals.Fill(
        input.Channels, input.Frames,
        (channel, frame) => frame - delayFrames >= 0 && frame - delayFrames < input.Frames ? input[channel][frame - delayFrames] : 0);
}
