using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Mixing;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Mixing;

public sealed class MixNodeTests
{
    [Fact]
    public void AddsInTheOrderWritten()
    {
        // In doubles (1 + 2^-53) + 2^-53 is 1, but (2^-53 + 2^-53) + 1 is more.
        var (one, tiny) = (Signals.Mono(1), Signals.Mono(Math.Pow(2, -53)));
        Assert.Equal(1, Mix([one, tiny, tiny])[0][0]);
        Assert.Equal(1 + Math.Pow(2, -52), Mix([tiny, tiny, one])[0][0]);
    }

    [Fact]
    public void NeverDividesByTheNumberOfInputs() =>
        Assert.Equal(8, Mix([.. Enumerable.Repeat(Signals.Mono(1), 8)])[0][0]);

    [Fact]
    public void OneInputAtUnityPassesBitByBit()
    {
        var noise = Signals.Noise(1001, channels: 2);
        Assert.True(Signals.AreSameBits(noise, Mix([noise])));
    }

    [Fact]
    public void AMonoPartGoesToBothSidesAtUnity()
    {
        var (mono, stereo) = (Signals.Noise(1001), Signals.Noise(1001, seed: 2, channels: 2));
        var expected = Signals.Fill(2, 1001, (channel, frame) => mono[0][frame] + stereo[channel][frame]);
        Assert.True(Signals.AreSameBits(expected, Mix([mono, stereo])));
        Assert.True(Signals.AreSameBits(expected, Mix([stereo, mono]))); // Two terms: either order rounds the same.
    }

    [Fact]
    public void EveryInputHasItsGainAndTheSumHasOne()
    {
        var node = NodeFactory.Create(MixNode.Type, ("gainDb", 20.0));
        var output = NodeRunner.Run(node, 48000, [Signals.Mono(1), Signals.Mono(1)], gainsDb: [-20, -40]);
        Assert.Equal(1.1, output[0][0], 1e-14);
    }

    private static Signal Mix(Signal[] inputs) => NodeRunner.Run(NodeFactory.Create(MixNode.Type), 48000, inputs, [100, 13]);
}
