using CsCheck;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Filters;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Filters;

/// <summary>The low-pass and the high-pass as nodes; their responses are in <see cref="FilterReferenceTests"/>.</summary>
public sealed class PassNodeTests
{
    [Fact]
    public void LinkwitzRileyPathsOfASplitAddUpFlat()
    {
        // Linkwitz 1976, from memory: the two paths of a 4th-order split add up to an all-pass.
        var impulse = Signals.Impulse(1 << 14);
        var low = NodeRunner.Run(Pass(LowPassNode.Type, 150, Alignment.LinkwitzRiley), 48000, impulse);
        var high = NodeRunner.Run(Pass(HighPassNode.Type, 150, Alignment.LinkwitzRiley), 48000, impulse);
        var sum = Signals.Fill(1, impulse.Frames, (_, frame) => low[0][frame] + high[0][frame]);
        foreach (var bin in Spectrum.Bins(sum[0]))
            Assert.Equal(0, Spectrum.MagnitudeDb(bin), 0.001);
    }

    [Fact]
    public void NoCutIntoBlocksChangesABit()
    {
        var input = Signals.WithTail(Signals.Noise(1000, channels: 2), 1000);
        var whole = NodeRunner.Run(Pass(HighPassNode.Type, 110, Alignment.Butterworth), 48000, input, [2000]);
        Gen.Int[1, 600].Array[1, 6].Sample(
            cuts => Signals.AreSameBits(whole, NodeRunner.Run(Pass(HighPassNode.Type, 110, Alignment.Butterworth), 48000, input, cuts)), iter: 50);
    }

    [Fact]
    public void ASecondPrepareLeavesNothingBehind()
    {
        var format = new NodeFormat(48000, [new InputFormat(1)], 1, 500);
        var node = Pass(HighPassNode.Type, 110, Alignment.Butterworth);
        var (input, fresh, used) = (Signals.Noise(500), Signals.Silence(500), Signals.Silence(500));
        node.Prepare(format);
        node.Process(new Block(0, [input], fresh));
        node.Process(new Block(500, [input], used));
        Assert.False(Signals.AreSameBits(fresh, used)); // The test can fail: what is left does sound.
        node.Prepare(format);
        node.Process(new Block(0, [input], used));
        Assert.True(Signals.AreSameBits(fresh, used));
    }

    [Theory]
    [InlineData(6)]
    [InlineData(18)]
    [InlineData(30)]
    [InlineData(42)]
    public void LinkwitzRileyRefusesSlopesThatItDoesNotHave(double slopeDbPerOctave)
    {
        foreach (var type in new[] { LowPassNode.Type, HighPassNode.Type })
        {
            Assert.Equal(
                [$"alignment: linkwitzRiley has no slope of {slopeDbPerOctave} dB an octave, only 12, 24, 36 and 48. Take one of these slopes, or alignment butterworth."],
                NodeFactory.Faults(type, ("frequencyHz", 100.0), ("slopeDbPerOctave", slopeDbPerOctave), ("alignment", "linkwitzRiley")));
        }
    }

    private static INode Pass(NodeType type, double frequencyHz, Alignment alignment) =>
        NodeFactory.Create(type, ("frequencyHz", frequencyHz), ("alignment", alignment));
}
