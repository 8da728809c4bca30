using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Nodes.Measures.Loudness;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

/// <summary>What the report says of a louder master, held against a limiter that really runs at the drives it names.</summary>
[Collection(UsesTheDemo.Name)]
public sealed class LouderTests(DemoFixture demo)
{
    private const double ToleranceDb = 0.2;

    [Theory]
    [InlineData("low-tide-ferry.json", -1)]
    [InlineData("open-water.json", -2)]
    public void TheTreatedSongGoesAsMuchLouderAsToldWithEqualWorkOfTheLimiter(string example, double ceilingDbtp)
    {
        using var folder = new TempFolder();
        var graph = demo.Graph($"louder-{example}");
        File.WriteAllText(graph, File.ReadAllText(demo.Graph(example)).Replace("\"outputs\": {", FormattableString.Invariant($$"""
            "outputs": {
                "held": { "in": "mix", "file": "held.wav", "ceilingDbtp": {{ceilingDbtp}} },
                "plain": { "in": "mix", "file": "treated.wav", "encoding": "float32" }, "plainBefore": { "kind": "untreated", "in": "mix", "file": "untreated.wav", "encoding": "float32" },
            """), StringComparison.Ordinal));

        var run = CommandRun.Of("render", graph, "--out", folder.Path, "--json");

        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        using var report = JsonDocument.Parse(run.Out);
        var told = report.RootElement.GetProperty("louder").EnumerateArray().Single(row => row.GetProperty("output").GetString() == "held");
        var (untreated, treated) = (Limited("untreated"), Limited("treated"));
        Assert.Equal(told.GetProperty("reduction95Db").GetDouble(), untreated.Reduction95Db, ToleranceDb);
        Assert.Equal(untreated.Reduction95Db, treated.Reduction95Db, ToleranceDb);
        Assert.Equal(treated.Lufs - untreated.Lufs, told.GetProperty("louderByLu").GetDouble(), ToleranceDb);
        Assert.Equal(treated.Lufs, told.GetProperty("treatedLufs").GetDouble(), ToleranceDb);

        (double Reduction95Db, double Lufs) Limited(string name)
        {
            var song = WaveFile.Read(folder[name + ".wav"]);
            var amplitude = Math.Pow(10, told.GetProperty(name + "DriveDb").GetDouble() / 20);
            var node = NodeFactory.Create(LimitNode.Type, ("ceilingDbtp", ceilingDbtp));
            var latency = node.LatencyFrames(48_000);
            var limited = NodeRunner.Run(node, 48_000, Signals.WithTail(Signals.Fill(song.Channels, song.Frames, (channel, frame) => amplitude * song[channel][frame]), latency));
            var meter = new LoudnessMeter(new HashSet<string> { "integratedLufs" });
            meter.Prepare(new(48_000, [song.Channels], song.Frames));
            meter.Hear([limited.Slice(latency, song.Frames)]);
            return (((IFigureSource)node).Figures.Single(figure => figure.Name == "reduction95Db").Value!.Value, meter.Conclude().Single().Value!.Value);
        }
    }

    [Fact]
    public void SaysItInWordsAndOnlyWhereAnOutputHasACeiling()
    {
        using var folder = new TempFolder();
        Assert.Matches(@"master +-1\.0 dBTP +-\d+\.\d LUFS +-\d+\.\d LUFS +[+-]?\d\.\d LU", CommandRun.Of("render", demo.Graph("open-water.json"), "--out", folder.Path).Out);
        Assert.DoesNotContain("louder by", CommandRun.Of("render", demo.Graph("first-light.json"), "--out", folder.Path).Out, StringComparison.Ordinal);
    }

    /// <summary>So a gate may ask for it.</summary>
    [Theory]
    [InlineData(-5, 0)]
    [InlineData(6, 1)]
    public void AGateCanAskThatTheSongGoesLouder(double atLeast, int exitCode)
    {
        using var folder = new TempFolder();
        var graph = demo.Graph("louder-gate.json");
        File.WriteAllText(graph, File.ReadAllText(demo.Graph("open-water.json")).Replace(
            "\"expect\": [", FormattableString.Invariant($"\"expect\": [ {{ \"measure\": \"limitedLufs\", \"of\": \"master\", \"against\": \"untreated\", \"atLeast\": {atLeast} }},"), StringComparison.Ordinal));
        Assert.Equal(exitCode, CommandRun.Of("render", graph, "--out", folder.Path).ExitCode);
    }
}
