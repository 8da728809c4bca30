using System.Text.Json;
using RenderGraph.Nodes.Measures.Speakers;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

[Collection(UsesTheDemo.Name)]
public sealed class SmallSpeakerTests(DemoFixture demo)
{
    [Fact]
    public void TheReportTellsHowMuchOfTheBassIsHeardBeforeAndAfterSaturation()
    {
        using var folder = new TempFolder();
        var run = CommandRun.Of("render", demo.Graph("pocket-radio.json"), "--out", folder.Path, "--json");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        using var report = JsonDocument.Parse(run.Out);
        var rows = report.RootElement.GetProperty("smallSpeakers").EnumerateArray().ToDictionary(row => row.GetProperty("speakerHz").GetDouble());
        Assert.All(rows.Values, row => Assert.Equal("subWarm", row.GetProperty("node").GetString()));

        // As a meter reads what goes into the saturation and what comes out of it, in files of 24 bits.
        var (before, after) = (Heard("subDeep"), Heard("subWarm"));
        Assert.Equal(before["speaker150Lufs"]!.Value, rows[150].GetProperty("beforeLufs").GetDouble(), 0.05);
        Assert.Equal(after["speaker150Lufs"]!.Value, rows[150].GetProperty("afterLufs").GetDouble(), 0.05);
        Assert.Equal(before["speaker150LossLu"]!.Value, rows[150].GetProperty("beforeLossLu").GetDouble(), 0.05);
        Assert.Equal(after["speaker150LossLu"]!.Value, rows[150].GetProperty("afterLossLu").GetDouble(), 0.05);
        Assert.InRange(after["speaker150Lufs"]!.Value - before["speaker150Lufs"]!.Value, 3, 20);

        // Without saturation nothing of it is heard at all on a smaller one.
        Assert.Null(before["speaker300Lufs"]);
        Assert.Equal(JsonValueKind.Null, rows[300].GetProperty("beforeLufs").ValueKind);
        Assert.Equal(after["speaker300Lufs"]!.Value, rows[300].GetProperty("afterLufs").GetDouble(), 0.05);

        Dictionary<string, double?> Heard(string node)
        {
            Assert.Equal(0, CommandRun.Of("render", demo.Graph("pocket-radio.json"), "--out", folder.Path, "--only", node).ExitCode);
            var signal = WaveFile.Read(folder[node + ".only.wav"]);
            var meter = SpeakerMeter.Type.Create(SpeakerMeter.Names.ToHashSet());
            meter.Prepare(new(48_000, [signal.Channels], signal.Frames));
            meter.Hear([signal]);
            return meter.Conclude().ToDictionary(measurement => measurement.Name, measurement => measurement.Value);
        }
    }

    [Fact]
    public void SaysInWordsWhatIsHeardAndWhatTheModelIs()
    {
        using var folder = new TempFolder();
        var run = CommandRun.Of("render", demo.Graph("pocket-radio.json"), "--out", folder.Path);
        Assert.Matches(@"subWarm +300 Hz +not heard +-\d+\.\d LUFS", run.Out);
        Assert.Contains("4th-order Butterworth high-pass", run.Out, StringComparison.Ordinal);
        Assert.Contains("come back down", run.Out, StringComparison.Ordinal);
    }
}
