using RenderGraph.Nodes.Mixing;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Mixing;

public sealed class PolarityNodeTests
{
    [Theory]
    [InlineData(FlippedChannels.Both, -1, -1)]
    [InlineData(FlippedChannels.Left, -1, 1)]
    [InlineData(FlippedChannels.Right, 1, -1)]
    public void FlipsTheSideAskedFor(FlippedChannels channels, double left, double right)
    {
        var noise = Signals.Noise(1001, channels: 2);
        var output = NodeRunner.Run(NodeFactory.Create(PolarityNode.Type, ("channels", channels)), 48000, noise);
        Assert.True(Signals.AreSameBits(Signals.Fill(2, 1001, (channel, frame) => (channel == 0 ? left : right) * noise[channel][frame]), output));
    }

    [Theory]
    [InlineData(FlippedChannels.Both)]
    [InlineData(FlippedChannels.Left)]
    [InlineData(FlippedChannels.Right)]
    public void AMonoSignalIsFlippedWhicheverIsAskedFor(FlippedChannels channels)
    {
        var output = NodeRunner.Run(NodeFactory.Create(PolarityNode.Type, ("channels", channels)), 48000, Signals.Mono(0.5, -0.25));
        Assert.Equal([-0.5, 0.25], output[0].ToArray());
    }
}
