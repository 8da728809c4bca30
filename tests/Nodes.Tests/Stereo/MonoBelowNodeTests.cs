using CsCheck;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Stereo;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Stereo;

public sealed class MonoBelowNodeTests
{
    private const int SampleRateHz = 48000;

    [Theory]
    [InlineData(30, 24, -48.165)]
    [InlineData(60, 24, -24.100)]
    [InlineData(120, 24, -3.010)]
    [InlineData(60, 48, -48.165)]
    [InlineData(1200, 24, 0)]
    public void TheDifferenceOfTheSidesFallsAsAButterworthHighPassDoes(double frequencyHz, double slopeDbPerOctave, double expectedDb)
    {
        // |H|^2 = 1 / (1 + (corner / f)^2n): Butterworth 1930, from memory.
        var left = Signals.Sine(frequencyHz, SampleRateHz, 96000);
        var right = Signals.Fill(1, 96000, (_, frame) => -left[0][frame]);
        var output = NodeRunner.Run(Node(120, slopeDbPerOctave), SampleRateHz, Signals.Stereo(left, right)).Slice(48000, 48000);
        Assert.Equal(expectedDb, Spectrum.ToDb(Spectrum.AmplitudeAt(output[0], frequencyHz, SampleRateHz)), 0.01);
        Assert.Equal(expectedDb, Spectrum.ToDb(Spectrum.AmplitudeAt(output[1], frequencyHz, SampleRateHz)), 0.01);
    }

    [Fact]
    public void TheSumOfTheSidesStays()
    {
        var noise = Signals.Noise(20000, channels: 2);
        var output = NodeRunner.Run(Node(120, 24), SampleRateHz, noise);
        Assert.InRange(Signals.LargestDifference(Sum(noise), Sum(output)), 0, 5e-16);
        Assert.False(Signals.AreSameBits(noise, output));
    }

    [Fact]
    public void EqualSidesPassBitByBit()
    {
        var noise = Signals.Noise(20000);
        var stereo = Signals.Stereo(noise, noise);
        Assert.True(Signals.AreSameBits(stereo, NodeRunner.Run(Node(120, 48), SampleRateHz, stereo)));
    }

    [Fact]
    public void SidesThatBecomeEqualSoonPassBitByBitAgain()
    {
        var (left, right) = (Signals.Noise(96000), Signals.Noise(96000));
        left[0][..100].Clear();
        var output = NodeRunner.Run(Node(120, 48), SampleRateHz, Signals.Stereo(left, right));
        Assert.True(Signals.AreSameBits(Signals.Stereo(left, right).Slice(48000, 48000), output.Slice(48000, 48000)));
    }

    [Fact]
    public void AMonoSignalPassesBitByBit()
    {
        var noise = Signals.Noise(2000);
        Assert.True(Signals.AreSameBits(noise, NodeRunner.Run(Node(120, 24), SampleRateHz, noise)));
    }

    [Fact]
    public void NoCutIntoBlocksChangesABit()
    {
        var noise = Signals.Noise(2000, channels: 2);
        var whole = NodeRunner.Run(Node(300, 18), SampleRateHz, noise, [2000]);
        Gen.Int[1, 600].Array[1, 6].Sample(cuts => Signals.AreSameBits(whole, NodeRunner.Run(Node(300, 18), SampleRateHz, noise, cuts)), iter: 50);
    }

    private static INode Node(double frequencyHz, double slopeDbPerOctave) =>
        NodeFactory.Create(MonoBelowNode.Type, ("frequencyHz", frequencyHz), ("slopeDbPerOctave", slopeDbPerOctave));

    private static Signal Sum(Signal stereo) => Signals.Fill(1, stereo.Frames, (_, frame) => stereo[0][frame] + stereo[1][frame]);
}
