using CsCheck;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Saturation;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Saturation;

public class SaturateNodeTests
{
    private const int SampleRateHz = 48000;

    public static TheoryData<SaturationCurve> Curves => [.. Enum.GetValues<SaturationCurve>()];

    [Theory]
    [InlineData(1, 0)]
    [InlineData(2, 53)]
    [InlineData(4, 61)]
    [InlineData(8, 65)]
    public void WithNothingBlendedInItIsADelayByTheLatency(int oversampling, int latencyFrames)
    {
        var node = Node(("blend", 0), ("oversampling", oversampling), ("curve", "clip"), ("driveDb", 30));
        Assert.Equal(latencyFrames, node.LatencyFrames(SampleRateHz));
        Assert.Equal(latencyFrames, node.LatencyFrames(96000));

        var input = Signals.Noise(1000, channels: 2);
        (input[0][3], input[1][4], input[0][5]) = (-0.0, double.Epsilon, 1e300);
        var expected = Signals.Fill(2, 1000, (channel, frame) => frame < latencyFrames ? 0 : input[channel][frame - latencyFrames]);
        Assert.True(Signals.AreSameBits(expected, NodeRunner.Run(node, SampleRateHz, input)));
    }

    [Theory]
    [MemberData(nameof(Curves))]
    public void WhatIsQuietKeepsItsLevelAndItsPlace(SaturationCurve curve)
    {
        // -80 dBFS at a drive of 24 dB reaches 0.0016 at the curve, which bends it by millionths; the biased one, by its slope's slope, more.
        var node = Node(("curve", curve), ("driveDb", 24));
        var input = Signals.Sine(1000, SampleRateHz, 48_000, amplitude: 1e-4);
        var output = Ahead(NodeRunner.Run(node, SampleRateHz, input), node);
        Assert.True(
            Signals.LargestDifference(output.Slice(24_000, 20_000), input.Slice(24_000, 20_000)) < 1e-4 * 0.002,
            $"{Signals.LargestDifference(output.Slice(24_000, 20_000), input.Slice(24_000, 20_000))}");
    }

    [Fact]
    public void ClipLeavesAloneWhatStaysBelowItsEdge()
    {
        var node = Node(("curve", "clip"), ("driveDb", 6));
        var input = Signals.Sine(100, SampleRateHz, 5000, amplitude: 0.45);
        Assert.Equal(0, Signals.LargestDifference(Ahead(NodeRunner.Run(node, SampleRateHz, input), node).Slice(0, 4900), input.Slice(0, 4900)));
    }

    [Fact]
    public void OnlyWhatLiesBelowIsDriven()
    {
        // 4 kHz is five octaves above the corner: 24 dB each leave a millionth of it to the curve.
        var node = Node(("belowHz", 125), ("driveDb", 18));
        var high = Signals.Sine(4000, SampleRateHz, 96_000, amplitude: 0.5);
        Assert.True(Signals.LargestDifference(Ahead(NodeRunner.Run(node, SampleRateHz, high), node).Slice(0, 95_000), high.Slice(0, 95_000)) < 1e-5);

        var both = Signals.Fill(1, 96_000, (_, frame) => high[0][frame] + (0.5 * Math.Sin(2 * Math.PI * (50.0 * frame / SampleRateHz % 1))));
        var output = NodeRunner.Run(node, SampleRateHz, both)[0][^48_000..];
        Assert.Equal(0, Spectrum.ToDb(Spectrum.AmplitudeAt(output, 4000, SampleRateHz) / 0.5), 0.001);
        Assert.True(Spectrum.ToDb(Spectrum.AmplitudeAt(output, 3950, SampleRateHz)) < -90);

        // The lows have their third harmonic: 50 Hz arrives at -0.0 dB, so it is as strong as without the split.
        var whole = NodeRunner.Run(Node(("driveDb", 18)), SampleRateHz, Signals.Sine(50, SampleRateHz, 96_000, amplitude: 0.5))[0][^48_000..];
        Assert.Equal(
            Spectrum.ToDb(Spectrum.AmplitudeAt(whole, 150, SampleRateHz)), Spectrum.ToDb(Spectrum.AmplitudeAt(output, 150, SampleRateHz)), 0.2);
    }

    [Fact]
    public void TheOffsetOfAnEvenCurveIsBlockedButTheSignalsOwnIsNot()
    {
        var input = Signals.Fill(1, 200_000, (_, frame) => 0.25 + (0.5 * Math.Sin(2 * Math.PI * (frame % 480) / 480)));
        var biased = NodeRunner.Run(Node(("curve", "biasedTanh"), ("driveDb", 12)), SampleRateHz, input)[0][^48_000..];
        Assert.Equal(0.25, biased.ToArray().Average(), 1e-7);
    }

    [Fact]
    public void BlendAndTrimAreAsWritten()
    {
        var input = Signals.Noise(3000, amplitude: 0.9);
        var (node, whole) = (Node(("blend", 0.25), ("trimDb", -6), ("driveDb", 12)), Node(("driveDb", 12)));
        var output = Ahead(NodeRunner.Run(node, SampleRateHz, input), node)[0];
        var residue = Ahead(NodeRunner.Run(whole, SampleRateHz, input), whole)[0];
        for (var frame = 0; frame < 2800; frame++)
        {
            var expected = Math.Pow(10, -6.0 / 20) * (input[0][frame] + (0.25 * (residue[frame] - input[0][frame])));
            Assert.Equal(expected, output[frame], 14);
        }
    }

    [Theory]
    [MemberData(nameof(Curves))]
    public void BlocksOfAnySizeGiveTheSameBits(SaturationCurve curve)
    {
        var node = Node(("curve", curve), ("belowHz", 300), ("driveDb", 20), ("blend", 0.7), ("trimDb", -1));
        var input = Signals.Noise(3000, channels: 2);
        var expected = NodeRunner.Run(node, SampleRateHz, input, [3000]);
        Assert.True(Signals.AreSameBits(expected, NodeRunner.Run(node, SampleRateHz, input, [1])));
        Gen.Int[1, 700].Array[1, 8].Sample(cuts => Signals.AreSameBits(expected, NodeRunner.Run(node, SampleRateHz, input, cuts)), iter: 20, threads: 1);
    }

    [Fact]
    public void ChannelsKnowNothingOfEachOther()
    {
        var (left, right) = (Signals.Noise(2000, seed: 1), Signals.Noise(2000, seed: 2));
        var node = Node(("curve", "biasedTanh"), ("belowHz", 500), ("driveDb", 20));
        var both = NodeRunner.Run(node, SampleRateHz, Signals.Stereo(left, right));
        Assert.True(Signals.AreSameBits(
            both, Signals.Stereo(NodeRunner.Run(node, SampleRateHz, left), NodeRunner.Run(node, SampleRateHz, right))));
    }

    [Theory]
    [MemberData(nameof(Curves))]
    public void ACallSparedAtRestIsNotMissed(SaturationCurve curve)
    {
        var node = Node(("curve", curve), ("belowHz", 200), ("driveDb", 20));
        var input = Signals.Silence(500_000);
        Signals.Noise(2000).CopyTo(input.Slice(0, 2000));
        Signals.Noise(2000, seed: 2).CopyTo(input.Slice(490_000, 2000));
        var expected = NodeRunner.Run(node, SampleRateHz, input, [1000]);

        var output = Signals.Silence(500_000);
        var spared = 0;
        node.Prepare(new(SampleRateHz, [new(1)], 1, 1000));
        for (var start = 0; start < 500_000; start += 1000)
        {
            var isSilent = start is >= 2000 and < 490_000 or >= 492_000;
            if (isSilent && node.IsAtRest)
            {
                spared++;
                continue;
            }

            var samples = input[0].Slice(start, 1000).ToArray();
            node.Process(new Block(start, [new Signal(samples, 0, 1000, 1, 1000, [isSilent])], output.Slice(start, 1000)));
        }

        Assert.True(spared > 100, $"{spared} calls spared");
        Assert.Equal(0, Signals.LargestDifference(expected, output));
    }

    [Fact]
    public void ASecondRenderKnowsNothingOfTheFirst()
    {
        var node = Node(("curve", "biasedTanh"), ("belowHz", 200));
        var first = NodeRunner.Run(node, SampleRateHz, Signals.Noise(5000));
        Assert.True(Signals.AreSameBits(first, NodeRunner.Run(node, SampleRateHz, Signals.Noise(5000))));
    }

    [Theory]
    [MemberData(nameof(Curves))]
    public void FarOverFullScaleItStaysFinite(SaturationCurve curve)
    {
        var output = NodeRunner.Run(Node(("curve", curve), ("driveDb", 48)), SampleRateHz, Signals.Noise(1000, amplitude: 1e300));
        Assert.True(double.IsFinite(Signals.Peak(output)));
    }

    [Fact]
    public void WhatIsOutOfBoundsIsRefused()
    {
        Assert.NotEmpty(NodeFactory.Faults(SaturateNode.Type, ("oversampling", 3)));
        Assert.NotEmpty(NodeFactory.Faults(SaturateNode.Type, ("driveDb", 49)));
        Assert.NotEmpty(NodeFactory.Faults(SaturateNode.Type, ("belowHz", 5)));
        Assert.Empty(NodeFactory.Faults(SaturateNode.Type));
    }

    [Fact]
    public void ProcessAllocatesNothing()
    {
        var node = Node(("curve", "biasedTanh"), ("belowHz", 200));
        Signal[] inputs = [Signals.Noise(1000, channels: 2)];
        var output = Signals.Silence(1000, channels: 2);
        node.Prepare(new(SampleRateHz, [new(2)], 2, 1000));
        node.Process(new Block(0, inputs, output));
        var before = GC.GetAllocatedBytesForCurrentThread();
        node.Process(new Block(1000, inputs, output));
        Assert.Equal(before, GC.GetAllocatedBytesForCurrentThread());
    }

    private static INode Node(params (string Name, object Value)[] values) => NodeFactory.Create(SaturateNode.Type, values);

    // The output, moved back by the latency.
    private static Signal Ahead(Signal output, INode node)
    {
        var latency = node.LatencyFrames(SampleRateHz);
        return Signals.WithTail(output.Slice(latency, output.Frames - latency), latency);
    }
}
