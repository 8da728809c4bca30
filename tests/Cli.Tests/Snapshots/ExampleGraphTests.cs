using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Nodes.Measures;
using Snapshooter;
using Snapshooter.Xunit;
using Xunit;

namespace RenderGraph.Cli.Tests.Snapshots;

/// <summary>
/// Every example graph, rendered on the demo song's stems: the hash of each file's bytes and, for people, what is in it. An example without a snapshot fails.
/// The benchmark's graph is left out: its stems are made by the benchmark.
/// </summary>
[Collection(UsesTheDemo.Name)]
public sealed class ExampleGraphTests(DemoFixture demo)
{
    private const string BenchmarkGraph = "twenty-four-stems.json";

    public static TheoryData<string> Names =>
        [.. Directory.EnumerateFiles(Path.Combine(AppContext.BaseDirectory, "graphs"), "*.json").Select(path => Path.GetFileName(path)!)
            .Where(name => name != BenchmarkGraph).Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Names))]
    public void RendersTheSameBytes(string name)
    {
        using var folder = new TempFolder();
        var graph = demo.Graph("example-" + name);
        File.Copy(Path.Combine(AppContext.BaseDirectory, "graphs", name), graph, overwrite: true);
        var run = CommandRun.Of("render", graph, "--out", folder["out"], "--json");
        Assert.Equal(0, run.ExitCode);

        using var report = JsonDocument.Parse(run.Out);
        var text = new StringBuilder();
        foreach (var path in Directory.EnumerateFiles(folder["out"]).Order(StringComparer.Ordinal))
            Describe(path, report.RootElement.GetProperty("outputs").EnumerateArray().Single(output => output.GetProperty("file").GetString() == path), text);
        foreach (var node in report.RootElement.GetProperty("nodes").EnumerateArray())
        {
            text.Append(CultureInfo.InvariantCulture, $"{node.GetProperty("name").GetString()}:");
            foreach (var figure in node.GetProperty("figures").EnumerateObject())
            {
                var value = figure.Value.ValueKind == JsonValueKind.Null ? "none" : figure.Value.GetDouble().ToString("0.###", CultureInfo.InvariantCulture);
                text.Append(CultureInfo.InvariantCulture, $" {figure.Name} {value}");
            }

            text.Append('\n');
        }

        Snapshot.Match(text.ToString(), SnapshotNameExtension.Create(Path.GetFileNameWithoutExtension(name)));
    }

    private static void Describe(string path, JsonElement output, StringBuilder text)
    {
        using var reader = new DiskAudioFiles().OpenStem(new(path), (_, _, sentence, _) => Assert.Fail(sentence))!;
        var (format, clipped) = (reader.Format, output.GetProperty("clippedSamples").GetInt64());
        var signal = Signal.Allocate(format.Channels, (int)format.LengthFrames);
        reader.Read(0, signal);
        var peak = Enumerable.Range(0, format.Channels).Max(channel => signal[channel].ToArray().Max(Math.Abs));
        var levels = BandLevels.Bands.Zip(BandLevels.Of(signal, format.SampleRateHz), (band, level) => level is { } dbfs
            ? string.Create(CultureInfo.InvariantCulture, $"{band.Name} {dbfs:0.0}")
            : band.Name + " none");
        text.Append(CultureInfo.InvariantCulture, $"{Path.GetFileName(path)}: {format.Encoding}, {format.Channels} ch, {format.SampleRateHz} Hz, {format.LengthFrames} frames\n");
        text.Append(CultureInfo.InvariantCulture, $"  sha256 {Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(path)))}\n");
        text.Append(CultureInfo.InvariantCulture, $"  peak {20 * Math.Log10(peak):0.00} dBFS, {clipped} clipped; dBFS by band: {string.Join(", ", levels)}\n");
    }
}
