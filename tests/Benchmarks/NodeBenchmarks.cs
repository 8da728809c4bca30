using BenchmarkDotNet.Attributes;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes;
using RenderGraph.Testing;

namespace RenderGraph.Benchmarks;

/// <summary>Every node of the catalog on stereo noise, its key a loud burst twice a second: time and bytes for one stereo frame.</summary>
[MemoryDiagnoser]
public class NodeBenchmarks
{
    private const int SampleRateHz = 48000;
    private const int BlockFrames = 2048;
    private const int Blocks = 24;

    private INode _node = null!;
    private Signal[][] _inputs = null!;
    private Signal _output;
    private long _startFrame;

    /// <summary>Nodes at work as in a song; a type that is not here is taken with its defaults.</summary>
    private static readonly Dictionary<string, (string Name, object Value)[]> Settings = new()
    {
        ["highPass"] = [("frequencyHz", 40)],
        ["lowPass"] = [("frequencyHz", 120)],
        ["bell"] = [("frequencyHz", 250), ("gainDb", -3)],
        ["lowShelf"] = [("frequencyHz", 80), ("gainDb", -3)],
        ["highShelf"] = [("frequencyHz", 4000), ("gainDb", 2)],
        ["notch"] = [("frequencyHz", 100)],
        ["keyedCut"] = [("frequencyHz", 52), ("thresholdDbfs", -20)],
        ["limit"] = [("ceilingDbtp", -1)],
        ["gain"] = [("gainDb", -3)],
        ["delay"] = [("delayMs", 1.23)],
        ["polarity"] = [],
    };

    public static IEnumerable<string> Types => BuiltInNodes.Catalog.Types.Where(type => !type.IsChain).Select(type => type.Name);

    [ParamsSource(nameof(Types))]
    public string Type { get; set; } = "";

    [GlobalSetup]
    public void Prepare()
    {
        var type = BuiltInNodes.Catalog.Find(Type)!;
        _node = NodeFactory.Create(type, Settings.GetValueOrDefault(Type) ?? []);
        var signals = Enumerable.Range(0, type.Ports[0].IsMany ? 8 : type.Ports.Count).Select(Sound).ToArray();
        _inputs = [.. Enumerable.Range(0, Blocks).Select(block => signals.Select(signal => signal.Slice(block * BlockFrames, BlockFrames)).ToArray())];
        _output = Signal.Allocate(2, BlockFrames);
        _node.Prepare(new(SampleRateHz, [.. signals.Select(signal => new InputFormat(signal.Channels))], 2, BlockFrames));
        _startFrame = 0;
    }

    [Benchmark(OperationsPerInvoke = Blocks * BlockFrames)]
    public void StereoFrame()
    {
        foreach (var inputs in _inputs)
        {
            _node.Process(new Block(_startFrame, inputs, _output));
            _startFrame += BlockFrames;
        }
    }

    // The second input is a key: half a second of it, loud for a fifth.
    private static Signal Sound(int index) => Signals.Fill(2, Blocks * BlockFrames, (channel, frame) =>
        index == 1 && frame % 24000 > 4800 ? 0 : Signals.Noise(1, (frame * 2) + channel + (1000003 * index))[0][0]);
}
