using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Loudness;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

/// <summary>The pairs of files that a change is judged by, as they are on disk.</summary>
[Collection(UsesTheDemo.Name)]
public sealed class BeforeAndAfterTests(DemoFixture demo)
{
    [Fact]
    public void AreEquallyLoudAndTheirLowsHaveTheGainsOfTheWhole()
    {
        using var folder = new TempFolder();
        var graph = demo.Graph("before-and-after-at-their-levels.json");
        File.WriteAllText(graph, File.ReadAllText(demo.Graph("before-and-after.json")).Replace(
            "\"outputs\": {",
            """
            "outputs": {
                "plainBefore": { "kind": "untreated", "in": "mix", "file": "plain-before.wav" }, "plainAfter": { "in": "mix", "file": "plain-after.wav" },
                "plainBeforeLow": { "kind": "untreated", "in": "lows", "file": "plain-before-low.wav" }, "plainAfterLow": { "in": "lows", "file": "plain-after-low.wav" },
            """, StringComparison.Ordinal));

        var run = CommandRun.Of("render", graph, "--out", folder.Path);

        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.InRange(Math.Abs(LoudnessLufs("before") - LoudnessLufs("after")), 0, 0.1);
        Assert.InRange(LoudnessLufs("after"), -23.1, -22.9);
        foreach (var side in new[] { "before", "after" })
            Assert.Equal(LevelDb("plain-" + side + "-low") - LevelDb("plain-" + side), LevelDb(side + "-low") - LevelDb(side), 0.01);

        // The two sides were given gains of their own, so it is not one that all files have.
        Assert.InRange(Math.Abs(LevelDb("before") - LevelDb("plain-before") - (LevelDb("after") - LevelDb("plain-after"))), 0.05, 10);

        double LoudnessLufs(string name)
        {
            var signal = WaveFile.Read(folder[name + ".wav"]);
            var meter = new LoudnessMeter(new HashSet<string> { "integratedLufs" });
            meter.Prepare(new(48_000, [signal.Channels], signal.Frames));
            meter.Hear([signal]);
            return meter.Conclude().Single().Value!.Value;
        }

        double LevelDb(string name) => 10 * Math.Log10(Power(WaveFile.Read(folder[name + ".wav"])));
    }

    private static double Power(Signal signal) =>
        Enumerable.Range(0, signal.Channels).Sum(channel => signal[channel].ToArray().Sum(sample => sample * sample)) / ((double)signal.Channels * signal.Frames);
}
