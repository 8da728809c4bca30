using BenchmarkDotNet.Attributes;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Filters;
using RenderGraph.Testing;

namespace RenderGraph.Benchmarks;

/// <summary>A filter while sound goes through, and long after it has stopped: a tail of denormal numbers would be many times slower.</summary>
public class TailBenchmarks
{
    private const int BlockFrames = 2048;
    private const int Blocks = 64;

    private INode _node = null!;
    private Signal _sound, _silence, _output;
    private long _startFrame;

    [GlobalSetup]
    public void Prepare()
    {
        _node = NodeFactory.Create(HighPassNode.Type, ("frequencyHz", 20), ("slopeDbPerOctave", 48));
        (_sound, _silence, _output) = (Signals.Noise(BlockFrames, channels: 2), Signals.Silence(BlockFrames, 2), Signal.Allocate(2, BlockFrames));
    }

    [Benchmark(Baseline = true, OperationsPerInvoke = Blocks * BlockFrames)]
    public void Sound() => Run(_sound);

    [Benchmark(OperationsPerInvoke = Blocks * BlockFrames)]
    public void Tail() => Run(_silence);

    // Each call begins anew with a block of sound, and dies away over three seconds if nothing follows.
    private void Run(Signal then)
    {
        _node.Prepare(new(48000, [new InputFormat(2)], 2, BlockFrames));
        _startFrame = 0;
        Process(_sound);
        for (var block = 1; block < Blocks; block++)
            Process(then);
    }

    private void Process(Signal input)
    {
        _node.Process(new Block(_startFrame, [input], _output));
        _startFrame += BlockFrames;
    }
}
