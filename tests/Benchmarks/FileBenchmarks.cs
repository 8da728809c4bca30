using BenchmarkDotNet.Attributes;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Testing;

namespace RenderGraph.Benchmarks;

/// <summary>Files as they are read and written, from and to the page cache: time and bytes for one stereo frame.</summary>
[MemoryDiagnoser]
public class FileBenchmarks
{
    private const int BlockFrames = 2048;
    private const int Blocks = 256;

    private readonly DiskAudioFiles _files = new();
    private readonly Signal _block = Signals.Noise(BlockFrames, channels: 2);
    private string _folder = "";
    private IStemReader _reader = null!;

    [Params(SampleEncoding.Pcm16, SampleEncoding.Pcm24, SampleEncoding.Pcm32, SampleEncoding.Float32)]
    public SampleEncoding Encoding { get; set; }

    [GlobalSetup]
    public void Prepare()
    {
        _folder = Directory.CreateTempSubdirectory("rendergraph-benchmark").FullName;
        Write();
        _reader = _files.OpenStem(new(Path.Combine(_folder, "out.wav")), (_, _, sentence, _) => throw new InvalidOperationException(sentence))!;
    }

    [GlobalCleanup]
    public void Remove()
    {
        _reader.Dispose();
        Directory.Delete(_folder, recursive: true);
    }

    [Benchmark(OperationsPerInvoke = Blocks * BlockFrames)]
    public void Read()
    {
        for (var block = 0; block < Blocks; block++)
            _reader.Read((long)block * BlockFrames, _block);
    }

    [Benchmark(OperationsPerInvoke = Blocks * BlockFrames)]
    public void Write()
    {
        using var writer = _files.CreateOutput(new("mix", Path.Combine(_folder, "out.wav"), 48000, 2, Encoding, 0, Blocks * BlockFrames));
        for (var block = 0; block < Blocks; block++)
            writer.Write(_block);
        writer.Finish();
        writer.Commit();
    }
}
