using RenderGraph.Nodes.Mixing;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Mixing;

public sealed class GainNodeTests
{
    [Theory]
    [InlineData(6, 1.9952623149688795)]
    [InlineData(-20, 0.1)]
    [InlineData(-96, 1.5848931924611134e-5)]
    public void MultipliesBy10ToTheGainOver20(double gainDb, double amplitude)
    {
        var noise = Signals.Noise(1001, channels: 2);
        var output = NodeRunner.Run(NodeFactory.Create(GainNode.Type, ("gainDb", gainDb)), 48000, noise);
        var expected = Signals.Fill(2, 1001, (channel, frame) => amplitude * noise[channel][frame]);
        Assert.InRange(Signals.LargestDifference(expected, output), 0, 1e-15 * amplitude);
    }

    [Fact]
    public void ZeroDbChangesNoBit()
    {
        var noise = Signals.Noise(1001, channels: 2);
        Assert.True(Signals.AreSameBits(noise, NodeRunner.Run(NodeFactory.Create(GainNode.Type, ("gainDb", 0.0)), 48000, noise)));
    }

    [Fact]
    public void OverRangeIsKept() =>
        Assert.Equal(19.952623149688795, NodeRunner.Run(NodeFactory.Create(GainNode.Type, ("gainDb", 20.0)), 48000, Signals.Mono(1.9952623149688795))[0][0], 1e-13);

    [Fact]
    public void TheGainMustBeGiven() => Assert.Equal(["gainDb is missing"], NodeFactory.Faults(GainNode.Type));
}
