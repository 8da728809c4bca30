using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dynamics;

/// <summary>Curves and times against <see cref="DynamicsReference"/>.</summary>
public class DuckNodeTests
{
    private const int SampleRateHz = 48000;

    /// <summary>Those whose ratio a graph may ask for.</summary>
    public static TheoryData<DynamicsReference> Cases { get; } = [.. DynamicsReference.All.Where(entry => entry.Ratio <= 1000)];

    [Theory]
    [MemberData(nameof(Cases))]
    public void LowersTheSignalAsTheReferenceDoes(DynamicsReference expected)
    {
        Assert.Equal(SampleRateHz, DynamicsReference.SampleRateHz);
        var reductionDb = ReductionDb(Create(expected), DynamicsReference.Key);
        for (var index = 0; index < expected.BurstFrames.Length; index++)
            Assert.Equal(expected.BurstReductionDb[index], reductionDb[expected.BurstFrames[index]], 0.001);
    }

    [Theory]
    [MemberData(nameof(Cases))]
    public void LowersTheSignalByTheStaticCurveUnderASteadyKey(DynamicsReference expected)
    {
        for (var index = 0; index < expected.InputDb.Length; index++)
        {
            var key = Signals.Constant(Math.Pow(10, expected.InputDb[index] / 20), 20000);
            Assert.Equal(expected.ReductionDb[index], ReductionDb(Create(expected), key)[^1], 0.001);
        }
    }

    [Fact]
    public void NeverGoesFurtherThanItsRange()
    {
        var reductionDb = ReductionDb(Create(("ratio", 1000), ("rangeDb", 7)), Signals.Constant(8, 30000));
        Assert.Equal(7, reductionDb[^1], 1e-6);
        Assert.True(reductionDb.Max() < 7 + 1e-9);
        Assert.Equal(0, ReductionDb(Create(("rangeDb", 0)), Signals.Constant(8, 30000)).Max());
    }

    [Fact]
    public void LetsEveryBitThroughUntilTheKeyReachesTheKnee()
    {
        var input = Signals.Noise(20000, channels: 2);
        input[0][3] = -0.0;

        // The knee of the defaults starts at -27 dBFS.
        var quiet = Signals.Sine(50, SampleRateHz, 20000, Math.Pow(10, -27.01 / 20));
        var node = Create(("lookaheadMs", 1));
        var output = NodeRunner.Run(node, SampleRateHz, [input, quiet], outputChannels: 2);
        Assert.Equal(48, NodeRunner.LatencyFrames(node, SampleRateHz));
        Assert.True(Signals.AreSameBits(input.Slice(0, 20000 - 48), output.Slice(48, 20000 - 48)));

        var loud = Signals.Sine(50, SampleRateHz, 20000, Math.Pow(10, -26.5 / 20));
        Assert.False(Signals.AreSameBits(output, NodeRunner.Run(Create(("lookaheadMs", 1)), SampleRateHz, [input, loud], outputChannels: 2)));
    }

    [Fact]
    public void ComesBackToEveryBitAfterTheKeyHasEnded()
    {
        var input = Signals.Noise(5 * SampleRateHz);
        var key = Signals.Fill(1, input.Frames, (_, frame) => frame is > 1000 and < 5000 ? 1 : 0);
        var output = NodeRunner.Run(Create(), SampleRateHz, [input, key]);
        Assert.True(Signals.AreSameBits(input.Slice(0, 1001), output.Slice(0, 1001)));
        Assert.False(Signals.AreSameBits(input.Slice(1001, 100000), output.Slice(1001, 100000)));
        Assert.True(Signals.AreSameBits(input.Slice(4 * SampleRateHz, SampleRateHz), output.Slice(4 * SampleRateHz, SampleRateHz)));
    }

    [Fact]
    public void HoldsBeforeItReleases()
    {
        const int HoldFrames = 100 * SampleRateHz / 1000;
        var key = Signals.Fill(1, 40000, (_, frame) => frame < 20000 ? 1 : 0);
        var (held, free) = (ReductionDb(Create(("holdMs", 100)), key), ReductionDb(Create(), key));
        for (var frame = 0; frame < 20000; frame++)
            Assert.Equal(free[frame], held[frame], 1e-9);
        for (var frame = 20000; frame < 20000 + HoldFrames; frame++)
            Assert.Equal(held[19999], held[frame], 1e-6);
        for (var frame = 20000; frame < 40000 - HoldFrames; frame++)
            Assert.Equal(free[frame], held[frame + HoldFrames], 1e-6);
    }

    [Fact]
    public void BeginsALookaheadBeforeTheKey()
    {
        const int Lookahead = 10 * SampleRateHz / 1000;
        var key = Signals.Fill(1, 20000, (_, frame) => frame < 10000 ? 0 : 1);
        var node = Create(("lookaheadMs", 10));
        Assert.Equal(Lookahead, NodeRunner.LatencyFrames(node, SampleRateHz));
        var (early, late) = (ReductionDb(node, key, Lookahead), ReductionDb(Create(), key));
        for (var frame = Lookahead; frame < 20000; frame++)
            Assert.Equal(late[frame], early[frame - Lookahead], 1e-9);
    }

    [Fact]
    public void SteersBothSidesByTheLouderUnlessEachSteersItsOwn()
    {
        var key = Signals.Stereo(Signals.Constant(1, 20000), Signals.Constant(0.2, 20000));
        var input = Signals.Constant(1, 20000, channels: 2);
        var linked = NodeRunner.Run(Create(), SampleRateHz, [input, key]);
        var own = NodeRunner.Run(Create(("link", KeyLink.PerChannel)), SampleRateHz, [input, key]);
        var right = NodeRunner.Run(Create(), SampleRateHz, [Signals.Constant(1, 20000), Signals.Constant(0.2, 20000)]);

        Assert.Equal(linked[0].ToArray(), linked[1].ToArray());
        Assert.Equal(linked[0].ToArray(), own[0].ToArray());
        Assert.Equal(right[0].ToArray(), own[1].ToArray());
        Assert.NotEqual(own[0].ToArray(), own[1].ToArray());

        // A key or a signal with one channel has nothing to keep apart.
        var mono = NodeRunner.Run(Create(("link", KeyLink.PerChannel)), SampleRateHz, [Signals.Constant(1, 20000), key], outputChannels: 1);
        Assert.Equal(linked[0].ToArray(), mono[0].ToArray());
    }

    [Theory]
    [InlineData(40, false)]
    [InlineData(200, true)]
    [InlineData(2000, false)]
    public void HearsOnlyWhatTheKeyFiltersLeave(double keyHz, bool isHeard)
    {
        // 12 dB an octave leave less than -27 dBFS, the knee's start, of 40 Hz and of 2 kHz.
        var key = Signals.Sine(keyHz, SampleRateHz, 48000, 0.5);
        var reductionDb = ReductionDb(Create(("keyHighPassHz", 160), ("keyLowPassHz", 300)), key);
        Assert.Equal(isHeard, reductionDb[40000..].Max() > 3);
        Assert.True(isHeard || reductionDb[10000..].Max() < 1);
    }

    [Fact]
    public void GivesTheSameBitsHoweverItIsCut()
    {
        var key = Signals.Fill(2, 40000, (channel, frame) => frame % 15000 < 5000 ? Math.Sin((0.01 + (0.003 * channel)) * frame) : 0);
        var input = Signals.Noise(40000, channels: 2);
        Signal Run(params int[] blockFrames) => NodeRunner.Run(
            Create(("releaseMs", 5), ("holdMs", 7), ("keyLowPassHz", 500), ("link", KeyLink.PerChannel)), SampleRateHz, [input, key], blockFrames);

        var whole = Run(40000);
        Assert.True(Signals.AreSameBits(whole, Run(1)));
        Assert.True(Signals.AreSameBits(whole, Run(512)));
        var random = new Random(3);
        Assert.True(Signals.AreSameBits(whole, Run([.. Enumerable.Range(0, 50).Select(_ => random.Next(1, 1500))])));
    }

    [Fact]
    public void TellsHowDeepAndHowOftenItCut()
    {
        var node = Create(("ratio", 1000), ("kneeDb", 0), ("releaseMs", 1), ("attackMs", 0.1));
        ReductionDb(node, Signals.Fill(1, 48000, (_, frame) => frame < 12000 ? 1 : 0));
        var figures = ((IFigureSource)node).Figures;
        Assert.Equal(["deepestCutDb", "activeFraction"], figures.Select(figure => figure.Name));
        Assert.Equal(24 * 0.999, figures[0].Value!.Value, 0.001);
        Assert.Equal(0.25, figures[1].Value!.Value, 0.01);
    }

    [Fact]
    public void WantsSomethingOfTheKeyLeftToHear() =>
        Assert.Equal(
            ["keyHighPassHz: keyHighPassHz is not below keyLowPassHz, so no key is left to hear. Lower keyHighPassHz or raise keyLowPassHz."],
            NodeFactory.Faults(DuckNode.Type, ("keyHighPassHz", 300), ("keyLowPassHz", 300)));

    private static INode Create(params (string Name, object Value)[] parameters) => NodeFactory.Create(DuckNode.Type, parameters);

    private static INode Create(DynamicsReference entry) => Create(
        ("thresholdDbfs", entry.ThresholdDb), ("ratio", entry.Ratio), ("kneeDb", entry.KneeDb), ("attackMs", entry.AttackMs),
        ("releaseMs", entry.ReleaseMs), ("rangeDb", 60));

    // Of a signal that is 1 throughout, from where it has come through the look-ahead.
    private static double[] ReductionDb(INode node, Signal key, int latencyFrames = 0)
    {
        var output = NodeRunner.Run(node, SampleRateHz, [Signals.Constant(1, key.Frames), key]);
        return [.. output[0][latencyFrames..].ToArray().Select(sample => -20 * Math.Log10(sample))];
    }
}
