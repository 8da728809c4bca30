using System.Globalization;
using System.Reflection;
using RenderGraph.Graph.Contracts;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests;

/// <summary>The rules of <see cref="INode"/>, held against every type in the catalog with parameters drawn by lot: none escapes by not being listed.</summary>
public sealed class NodeContractTests
{
    private const int SampleRateHz = 44100;
    private const int Frames = 6000;
    private const int DrawCount = 8;

    public static TheoryData<string> TypeNames => [.. BuiltInNodes.Catalog.Types.Where(type => !type.IsChain).Select(type => type.Name)];

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void BlocksOfAnyLengthGiveTheSameBits(string typeName)
    {
        foreach (var (node, inputs) in Draws(typeName))
        {
            var whole = Run(node, inputs, [Frames]);
            foreach (var cuts in new int[][] { [1, 2, 3, 5], [64], [777, 16], [256, 255, 257], [4096] })
                Assert.True(Signals.AreSameBits(whole, Run(node, inputs, cuts)), $"{typeName} in blocks of {string.Join(", ", cuts)}");
        }
    }

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void ASecondPrepareLeavesNoResidue(string typeName)
    {
        foreach (var (node, inputs) in Draws(typeName))
        {
            var first = Run(node, inputs, [500]);
            Run(node, [.. inputs.Select((input, index) => Signals.Noise(Frames, seed: 900 + index, amplitude: 3, channels: input.Channels))], [500]);
            Assert.True(Signals.AreSameBits(first, Run(node, inputs, [500])), typeName);
        }
    }

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void ProcessAllocatesNothing(string typeName)
    {
        foreach (var (node, inputs) in Draws(typeName))
        {
            var output = Signal.Allocate(inputs[0].Channels, Frames);
            node.Prepare(FormatOf(inputs, Frames));

            // The runtime allocates on the caller's thread while it compiles; a node would do so in every call.
            var least = Enumerable.Range(0, 10).Min(call =>
            {
                var before = GC.GetAllocatedBytesForCurrentThread();
                node.Process(new Block((long)call * Frames, inputs, output));
                return GC.GetAllocatedBytesForCurrentThread() - before;
            });
            Assert.Equal(0, least);
        }
    }

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void FiniteInGivesFiniteOut(string typeName)
    {
        foreach (var (node, inputs) in Draws(typeName))
        {
            foreach (var amplitude in new[] { 0, 1e-310, 1e-160, 1e-6, 1, 1000 })
            {
                var scaled = inputs.Select(input => Signals.Fill(input.Channels, input.Frames, (channel, frame) => input[channel][frame] * amplitude)).ToArray();
                var output = Run(node, scaled, [700]);
                for (var channel = 0; channel < output.Channels; channel++)
                {
                    foreach (var sample in output[channel])
                        Assert.True(double.IsFinite(sample), $"{typeName} at amplitude {amplitude}");
                }
            }
        }
    }

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void InputsAreNeverWritten(string typeName)
    {
        foreach (var (node, inputs) in Draws(typeName))
        {
            var copies = inputs.Select(input => Signals.Fill(input.Channels, input.Frames, (channel, frame) => input[channel][frame])).ToArray();
            Run(node, inputs, [333]);
            Assert.All(inputs.Zip(copies), pair => Assert.True(Signals.AreSameBits(pair.First, pair.Second), typeName));
        }
    }

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void ATailNeverTurnsDenormal(string typeName)
    {
        foreach (var (node, inputs) in Draws(typeName, sound: 500, frames: 60000))
        {
            var output = Run(node, inputs, [2048]);
            for (var channel = 0; channel < output.Channels; channel++)
            {
                foreach (var sample in output[channel])
                    Assert.False(double.IsSubnormal(sample), typeName);
            }
        }
    }

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void ANodeThatSaysItIsAtRestIs(string typeName)
    {
        foreach (var (node, inputs) in Draws(typeName, sound: 500, frames: 2000))
        {
            Run(node, inputs, [2000]);
            var silence = inputs.Select(input => Signals.Silence(256, input.Channels)).ToArray();
            for (var startFrame = 2048L; startFrame < 400000; startFrame += 256)
            {
                var wasAtRest = node.IsAtRest;
                var output = Signals.Constant(double.NaN, 256, inputs[0].Channels);
                node.Process(new Block(startFrame, silence, output));
                if (!wasAtRest)
                    continue;
                Assert.True(node.IsAtRest, typeName);
                Assert.Equal(0, Signals.Peak(output));
            }
        }
    }

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void LatencyIsAPureFunctionThatIsNotNegative(string typeName)
    {
        foreach (var (node, inputs) in Draws(typeName))
        {
            var before = (node.LatencyFrames(SampleRateHz), node.KeyLeadFrames(SampleRateHz));
            Assert.InRange(before.Item1, 0, 10 * SampleRateHz);
            Assert.InRange(before.Item2, 0, 10 * SampleRateHz);
            node.Prepare(FormatOf(inputs, 100) with { SampleRateHz = 96000 });
            Assert.Equal(before, (node.LatencyFrames(SampleRateHz), node.KeyLeadFrames(SampleRateHz)));
        }
    }

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void LanesGiveTheBitsOfEachNodeAlone(string typeName)
    {
        foreach (var like in Alike(Draws(typeName)))
            AssertLanesAreAsAlone(typeName, like, (lane, input) => (10 * lane) + input);
    }

    /// <summary>Every two neighbours have equal parameters, and all lanes of as many channels take one and the same signal at every input but the first.</summary>
    [Theory]
    [MemberData(nameof(TypeNames))]
    public void LanesThatShareAKeyGiveTheBitsOfEachNodeAlone(string typeName)
    {
        var twins = Draws(typeName).Zip(Draws(typeName)).SelectMany(pair => new[] { pair.First, pair.Second }).ToList();
        foreach (var like in Alike(twins))
        {
            var keyOf = like.GroupBy(draw => draw.Inputs[0].Channels).ToDictionary(group => group.Key, group => group.First().Inputs);
            var sharing = like.ConvertAll(draw => (draw.Node, Inputs: draw.Inputs.Select((input, index) =>
                index == 0 ? Signals.Noise(Frames, seed: 70 + like.IndexOf(draw), channels: input.Channels) : keyOf[input.Channels][index]).ToArray()));
            AssertLanesAreAsAlone(typeName, sharing, (lane, input) => input == 0 ? 100 + lane : (10 * input) + sharing[lane].Inputs[0].Channels);
        }
    }

    /// <summary>Two numbers that have changed places in a record would go unseen: every name must come out beside the value that it was given.</summary>
    [Fact]
    public void EveryParameterIsReadIntoItsOwnPlace()
    {
        var records = typeof(BuiltInNodes).Assembly.GetTypes().Where(type => type.Name.EndsWith("Parameters", StringComparison.Ordinal) && !type.IsAbstract).ToList();
        Assert.NotEmpty(records);
        foreach (var record in records)
        {
            var source = new RandomParameters(seed: 3, SampleRateHz);
            var text = record.GetMethod("Read", BindingFlags.Public | BindingFlags.Static)!.Invoke(null, [source])!.ToString()!;
            foreach (var (name, value) in source.Given)
                Assert.Contains($"{name} = {value}", text, StringComparison.Ordinal); // a record's text follows the culture, and so does this
        }
    }

    private static IEnumerable<List<(INode Node, Signal[] Inputs)>> Alike(IEnumerable<(INode Node, Signal[] Inputs)> draws) =>
        draws.Where(draw => draw.Node is ILaneNode).GroupBy(draw => ((ILaneNode)draw.Node).LaneKind).Select(group => group.ToList());

    private static void AssertLanesAreAsAlone(string typeName, List<(INode Node, Signal[] Inputs)> like, Func<int, int, int> sourceOf)
    {
        var alone = like.ConvertAll(draw => (Sound: Run(draw.Node, draw.Inputs, [Frames]), Figures: FiguresOf(draw.Node)));
        var settled = like.ConvertAll(draw => Settled(draw.Node, draw.Inputs));
        var aligned = like.ConvertAll(draw => NodeRunner.Aligned(draw.Node, SampleRateHz, draw.Inputs, 1000));
        for (var index = 0; index < like.Count; index++)
            Prepare(like[index].Node, aligned[index].Format, settled[index]);
        var lanes = like.Select((draw, lane) => new Lane(
            [draw.Node], aligned[lane].Format, [.. draw.Inputs.Select((_, input) => sourceOf(lane, input))]));
        var group = ((ILaneNode)like[0].Node).Join([.. lanes]);
        var outputs = like.ConvertAll(draw => Signals.Constant(double.NaN, Frames, draw.Inputs[0].Channels));
        for (var start = 0; start < Frames; start += 1000)
        {
            group.Process(
                start, aligned.SelectMany(draw => draw.Inputs).Select(input => input.Slice(start, 1000)).ToArray(),
                outputs.Select(output => output.Slice(start, 1000)).ToArray());
        }

        for (var lane = 0; lane < like.Count; lane++)
        {
            Assert.True(Signals.AreSameBits(alone[lane].Sound, outputs[lane]), $"{typeName}, lane {lane}");
            Assert.Equal(alone[lane].Figures, FiguresOf(like[lane].Node));
        }
    }

    private static IReadOnlyList<Figure> FiguresOf(INode node) => node is IFigureSource source ? [.. source.Figures] : [];

    private static IEnumerable<(INode Node, Signal[] Inputs)> Draws(string typeName, int sound = Frames, int frames = Frames)
    {
        var type = BuiltInNodes.Catalog.Find(typeName)!;
        var index = 0;
        foreach (var node in RandomParameters.Nodes(type, DrawCount, SampleRateHz))
        {
            var channels = 1 + (index % 2);
            var inputs = type.Ports
                .SelectMany(port => Enumerable.Repeat(port, port.IsMany ? 3 : 1))
                .Select((_, input) => Signals.WithTail(Signals.Noise(sound, seed: (10 * index) + input, channels: channels), frames - sound))
                .ToArray();
            index++;
            yield return (node, inputs);
        }
    }

    private static NodeFormat FormatOf(Signal[] inputs, int maxBlockFrames) =>
        new(SampleRateHz, [.. inputs.Select(input => new InputFormat(input.Channels))], inputs[0].Channels, maxBlockFrames);

    private static Signal Run(INode node, Signal[] inputs, int[] blockFrames) => NodeRunner.Run(node, SampleRateHz, inputs, blockFrames);

    private static double? Settled(INode node, Signal[] inputs)
    {
        if (node is not IListeningNode { MustListen: true } listener)
            return null;
        node.Prepare(FormatOf(inputs, Frames));
        listener.Listen(0, inputs[listener.ListenInput]);
        return listener.Settle();
    }

    private static void Prepare(INode node, NodeFormat format, double? settled)
    {
        node.Prepare(format);
        if (settled is { } value)
            ((IListeningNode)node).Recall(value);
    }
}
