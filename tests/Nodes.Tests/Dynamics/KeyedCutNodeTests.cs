using System.Numerics;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dynamics;

/// <summary>What a keyed cut does to the sound.</summary>
public class KeyedCutNodeTests
{
    private const int SampleRateHz = 48000;

    // x + (g - 1) bandpass(x) with the analogue band-pass (s/Q) / (s^2 + s/Q + 1) of the W3C note "Audio EQ Cookbook", brought over by the bilinear transform.
    [Theory]
    [InlineData(50, 2, 6)]
    [InlineData(20, 0.3, 36)]
    [InlineData(120, 12, 9)]
    [InlineData(1000, 1, 24)]
    public void IsTheClosedFormAtFullDepth(double centreHz, double q, double depthDb)
    {
        const int At = 48000, Length = 6 * 48000;
        var node = NodeFactory.Create(
            KeyedCutNode.Type, ("frequencyHz", centreHz), ("q", q), ("depthDb", depthDb), ("listen", KeyRange.All), ("thresholdDbfs", -20));
        var output = NodeRunner.Run(node, SampleRateHz, [Signals.Impulse(Length, At), Signals.Sine(100, SampleRateHz, Length)]);
        var response = output[0][(At + NodeRunner.LatencyFrames(node, SampleRateHz))..];

        var g = Math.Pow(10, -depthDb / 20);
        for (var frequencyHz = 10.0; frequencyHz < 20000; frequencyHz *= 1.1)
        {
            var w = Math.Tan(Math.PI * frequencyHz / SampleRateHz) / Math.Tan(Math.PI * centreHz / SampleRateHz);
            var expected = new Complex(1 - (w * w), g * w / q) / new Complex(1 - (w * w), w / q);
            Assert.Equal(Spectrum.MagnitudeDb(expected), Spectrum.MagnitudeDb(Spectrum.At(response, frequencyHz, SampleRateHz)), 0.001);
        }
    }

    [Theory]
    [InlineData(20)]
    [InlineData(30)]
    [InlineData(50)]
    [InlineData(100)]
    [InlineData(300)]
    public void ReachesItsDepthOnASteadyKeyAtAnyStemLevel(double keyHz)
    {
        foreach (var levelDb in new[] { 0.0, -7.3, -20, -50 })
        {
            var probe = new CutProbe(Signals.Sine(keyHz, SampleRateHz, 2 * SampleRateHz, Math.Pow(10, levelDb / 20)), ("listenHz", keyHz));
            for (var frame = SampleRateHz; frame < probe.Frames; frame++)
                Assert.Equal(6, probe.DepthDb(frame), 0.1);
        }
    }

    [Theory]
    [InlineData(20)]
    [InlineData(300)]
    public void HearsAKeyBesideTheCutAsItIs(double keyHz)
    {
        var probe = new CutProbe(Signals.Sine(keyHz, SampleRateHz, 2 * SampleRateHz, 0.01), ("listen", KeyRange.All));
        for (var frame = SampleRateHz; frame < probe.Frames; frame++)
            Assert.Equal(6, probe.DepthDb(frame), 0.1);
    }

    [Fact]
    public void LetsEveryBitThroughWhileTheKeyIsSilent()
    {
        var input = Signals.Noise(30000, channels: 2);
        for (var frame = 0; frame < input.Frames; frame += 5)
            input[0][frame] = -0.0;
        foreach (var key in new[] { Signals.Silence(30000), Signals.Sine(50, SampleRateHz, 30000, 1e-5) })
        {
            foreach (var threshold in new (string, object)[][] { [], [("thresholdDbfs", -60)] })
            {
                var node = NodeFactory.Create(KeyedCutNode.Type, [("frequencyHz", 50), .. threshold]);
                var output = NodeRunner.Run(node, SampleRateHz, [input, key], outputChannels: 2);
                var latency = NodeRunner.LatencyFrames(node, SampleRateHz);
                Assert.True(Signals.AreSameBits(input.Slice(0, 30000 - latency), output.Slice(latency, 30000 - latency)));
                Assert.Equal(0, Signals.Peak(output.Slice(0, latency)));
            }
        }
    }

    [Fact]
    public void LetsEveryBitThroughUntilTheHitOfItsOwnBlock()
    {
        // One block holds both: where nothing is cut, even the sign of a zero stays.
        const int Onset = 24000;
        var node = Create(("listen", KeyRange.All));
        var input = Signals.Constant(-0.0, 48000);
        var output = NodeRunner.Run(node, SampleRateHz, [input, CutProbe.Bursts(1, (Onset, 0))], [48000]);
        var latency = NodeRunner.LatencyFrames(node, SampleRateHz);
        var before = Onset - (5 * SampleRateHz / 1000) - 16;
        Assert.True(Signals.AreSameBits(input.Slice(0, before), output.Slice(latency, before)));
    }

    [Fact]
    public void MovesWithoutACornerOrAJump()
    {
        var probe = new CutProbe(CutProbe.Bursts(2, (24000, 0), (48007, -15), (72003, 0)), ("depthDb", 12), ("listen", KeyRange.All));

        // The steepest place of half a cosine over the attack, which is cut to whole steps; what is heard as a click is a jump.
        var attackFrames = (5 * SampleRateHz / 1000) - 16;
        var steepestDb = 12 * Math.PI / 2 / attackFrames;
        for (var frame = 20001; frame < probe.Frames; frame++)
            Assert.InRange(Math.Abs(probe.DepthDb(frame) - probe.DepthDb(frame - 1)), 0, 1.05 * steepestDb);
    }

    [Theory]
    [InlineData(1, 1)]
    [InlineData(1, 2)]
    [InlineData(2, 1)]
    [InlineData(2, 2)]
    public void TakesAnyLayoutOfSignalAndKey(int signalChannels, int keyChannels)
    {
        // The key hits on its last channel only: the louder one counts.
        var hits = CutProbe.Bursts(1, (24000, 0));
        var key = Signals.Fill(keyChannels, hits.Frames, (channel, frame) => channel == keyChannels - 1 ? hits[0][frame] : 0);
        var input = Signals.Sine(50, SampleRateHz, hits.Frames, channels: signalChannels);
        var output = NodeRunner.Run(Create(), SampleRateHz, [input, key], outputChannels: signalChannels);
        var mono = NodeRunner.Run(Create(), SampleRateHz, [Signals.Sine(50, SampleRateHz, hits.Frames), hits]);

        Assert.Equal(signalChannels, output.Channels);
        for (var channel = 0; channel < signalChannels; channel++)
            Assert.Equal(mono[0].ToArray(), output[channel].ToArray());
    }

    [Fact]
    public void MayBeKeyedByTheSignalItself()
    {
        var signal = CutProbe.Bursts(1, (24000, 0));
        var node = Create();
        var output = NodeRunner.Run(node, SampleRateHz, [signal, signal]);
        var latency = NodeRunner.LatencyFrames(node, SampleRateHz);
        Assert.Equal(signal[0][26400] * Math.Pow(10, -6 / 20.0), output[0][26400 + latency], 0.02);
    }

    [Fact]
    public void GivesTheSameBitsHoweverItIsCut()
    {
        var key = CutProbe.Bursts(1.5, (13, 0), (20000, -15), (33333, 0), (50000, -3));
        var input = Signals.Noise(key.Frames, channels: 2);
        Signal Run(params int[] blockFrames) => NodeRunner.Run(Create(), SampleRateHz, [input, key], blockFrames, outputChannels: 2);

        var whole = Run(key.Frames);
        Assert.True(Signals.AreSameBits(whole, Run(1)));
        Assert.True(Signals.AreSameBits(whole, Run(16)));
        Assert.True(Signals.AreSameBits(whole, Run(777)));
        var random = new Random(7);
        Assert.True(Signals.AreSameBits(whole, Run([.. Enumerable.Range(0, 50).Select(_ => random.Next(1, 300))])));
    }

    [Fact]
    public void AddsTheLookaheadAndWhatHearingTakes()
    {
        // 8 ms are 24 steps of 16 frames at 48 kHz; one step to hear in; a quarter of a period of 50 Hz is 5 ms, 15 steps.
        Assert.Equal((24 + 1 + 15) * 16, Create().KeyLeadFrames(SampleRateHz));
        Assert.Equal((24 + 1) * 16, Create(("listen", KeyRange.All)).KeyLeadFrames(SampleRateHz));
        Assert.Equal((0 + 1) * 16, Create(("listen", KeyRange.All), ("lookaheadMs", 0)).KeyLeadFrames(SampleRateHz));
    }

    [Fact]
    public void WantsAFrequencyAndOneThingToListenTo()
    {
        Assert.Equal(["frequencyHz is missing"], NodeFactory.Faults(KeyedCutNode.Type));
        Assert.Equal(
            ["listenHz: listenHz names a band, but listen is \"all\". Leave one of them out."],
            NodeFactory.Faults(KeyedCutNode.Type, ("frequencyHz", 50), ("listen", "all"), ("listenHz", 3000)));
    }

    private static INode Create(params (string Name, object Value)[] parameters) =>
        NodeFactory.Create(KeyedCutNode.Type, [("frequencyHz", 50), .. parameters]);
}
