using BenchmarkDotNet.Attributes;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes;
using RenderGraph.Nodes.Measures.Limiting;
using RenderGraph.Nodes.Measures.Loudness;
using RenderGraph.Nodes.Measures.Speakers;
using RenderGraph.Testing;

namespace RenderGraph.Benchmarks;

/// <summary>The meters of loudness on stereo: time and bytes for one frame of music-like sound, and of noise held at its peaks, where nothing can be spared.</summary>
[MemoryDiagnoser]
public class MeterBenchmarks
{
    private const int SampleRateHz = 48000;
    private const int BlockFrames = 2048;
    private const int Blocks = 96;

    private static readonly Dictionary<string, string[]> Wanted = new()
    {
        ["loudness"] = ["integratedLufs", "loudnessRangeLu", "maxMomentaryLufs", "maxShortTermLufs"],
        ["truePeak"] = ["truePeakDbtp"],
        ["loudness, peaks, PLR, PSR"] =
            ["integratedLufs", "loudnessRangeLu", "maxMomentaryLufs", "maxShortTermLufs", "truePeakDbtp", "samplePeakDbfs", "peakToLoudnessDb", "minPeakToShortTermDb", "crestDb"],
        ["small speakers"] = [.. SpeakerMeter.Names],
        ["how loud it can go"] = [.. LimitedLoudnessMeter.Names],
        ["everything"] = [.. LoudnessMeter.Type.Measures.Select(measure => measure.Name)],
    };

    private IMeter _meter = null!;
    private Signal[][] _blocks = null!;

    public static IEnumerable<string> Measures => Wanted.Keys;

    [ParamsSource(nameof(Measures))]
    public string Measured { get; set; } = "";

    [Params("song", "held noise")]
    public string Sound { get; set; } = "";

    [GlobalSetup]
    public void Prepare()
    {
        var sound = Sound == "song" ? Song() : HeldNoise();
        var type = BuiltInMeters.Catalog.MeterOf(Wanted[Measured][0])!;
        _blocks = [.. Enumerable.Range(0, Blocks).Select(block => type.Ports.Select(_ => sound.Slice(block * BlockFrames, BlockFrames)).ToArray())];
        _meter = type.Create(Wanted[Measured].ToHashSet());
        _meter.Prepare(new(SampleRateHz, [.. type.Ports.Select(_ => 2)], BlockFrames));
    }

    [Benchmark(OperationsPerInvoke = Blocks * BlockFrames)]
    public void StereoFrame()
    {
        foreach (var block in _blocks)
            _meter.Hear(block);
    }

    // A kick, a bass and some air: peaks now and then, as in a mix.
    private static Signal Song()
    {
        var noise = Signals.Noise(Blocks * BlockFrames, seed: 1, amplitude: 0.08, channels: 2);
        return Signals.Fill(2, Blocks * BlockFrames, (channel, frame) =>
            (0.6 * Math.Exp(-frame % 24000 / 4000.0) * Math.Sin(2 * Math.PI * 52 * (frame % 24000) / SampleRateHz))
            + (0.2 * Math.Sin(2 * Math.PI * 110 * frame / SampleRateHz)) + noise[channel][frame]);
    }

    private static Signal HeldNoise()
    {
        var noise = Signals.Noise(Blocks * BlockFrames, seed: 2, amplitude: 4, channels: 2);
        return Signals.Fill(2, noise.Frames, (channel, frame) => Math.Clamp(noise[channel][frame], -0.9, 0.9));
    }
}
