using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

public sealed class MeasureTests
{
    /// <summary>EBU Tech 3341, case 1: a stereo sine of 1 kHz at -23 dBFS reads -23 LUFS within 0.1.</summary>
    [Fact]
    public void JsonHoldsEveryMeasureByItsName()
    {
        using var folder = new TempFolder();
        WaveFile.Write(folder["tone.wav"], Signals.Sine(1000, 48_000, 20 * 48_000, Math.Pow(10, -23 / 20.0), channels: 2), encoding: SampleEncoding.Float32);
        var run = CommandRun.Of("measure", folder["tone.wav"], "--json");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        using var json = JsonDocument.Parse(run.Out);
        Assert.True(json.RootElement.GetProperty("ok").GetBoolean());
        var file = json.RootElement.GetProperty("files").EnumerateArray().Single();
        Assert.Equal(folder["tone.wav"], file.GetProperty("file").GetString());
        Assert.Equal((48_000, 2, 960_000), (file.GetProperty("sampleRateHz").GetInt32(), file.GetProperty("channels").GetInt32(), file.GetProperty("lengthFrames").GetInt32()));
        foreach (var (name, value) in new[]
        {
            ("integratedLufs", -23.0), ("maxMomentaryLufs", -23), ("maxShortTermLufs", -23), ("loudnessRangeLu", 0), ("truePeakDbtp", -23), ("samplePeakDbfs", -23),
            ("peakToLoudnessDb", 0), ("minPeakToShortTermDb", 0), ("crestDb", 3.01),
        })
        {
            Assert.Equal(value, file.GetProperty(name).GetDouble(), 0.05);
        }

        Assert.Equal(0, file.GetProperty("notMeasurable").GetArrayLength());
    }

    [Fact]
    public void WhatCannotBeMeasuredIsNullWithTheReason()
    {
        using var folder = new TempFolder();
        WaveFile.Write(folder["short.wav"], WaveFile.Tone(), encoding: SampleEncoding.Float32);
        using var json = JsonDocument.Parse(CommandRun.Of("measure", folder["short.wav"], "--json").Out);
        var file = json.RootElement.GetProperty("files").EnumerateArray().Single();
        Assert.Equal(JsonValueKind.Null, file.GetProperty("integratedLufs").ValueKind);
        Assert.Equal(-6.02, file.GetProperty("samplePeakDbfs").GetDouble(), 0.05);
        Assert.Equal(
            "it lasts 0.1 s, and 0.4 s are needed",
            file.GetProperty("notMeasurable").EnumerateArray().First(none => none.GetProperty("measure").GetString() == "integratedLufs").GetProperty("reason").GetString());
    }

    [Fact]
    public void OneBadFileDoesNotKeepTheOthersFromBeingMeasured()
    {
        using var folder = new TempFolder();
        WaveFile.Write(folder["good.wav"], WaveFile.Tone(48_000));
        folder.Write("bad.wav", "no sound");
        var run = CommandRun.Of("measure", folder["bad.wav"], folder["good.wav"], folder["gone.wav"], "--json").Without(folder.Path);
        Assert.Equal(3, run.ExitCode);
        using var json = JsonDocument.Parse(run.Out);
        Assert.False(json.RootElement.GetProperty("ok").GetBoolean());
        Assert.Equal(["good.wav"], json.RootElement.GetProperty("files").EnumerateArray().Select(file => file.GetProperty("file").GetString()!));
        Assert.Equal(
            ["bad.wav", "gone.wav"],
            json.RootElement.GetProperty("findings").EnumerateArray().Select(finding => finding.GetProperty("file").GetString()!));
        Assert.Contains("gone.wav: RG301: ", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void ARenderReportsWhatItsGraphAsksForAndTheFileMeasuresTheSame()
    {
        using var folder = new TempFolder();
        WaveFile.Write(folder["a.wav"], Signals.Noise(4 * 48_000, channels: 2));
        var graph = folder.Write("song.json", """
            { "format": 1, "stems": { "a": { "file": "a.wav", "measure": ["samplePeakDbfs"] } },
              "nodes": { "soft": { "type": "gain", "in": "a", "gainDb": -6 } },
              "outputs": { "soft": { "in": "soft", "file": "soft.wav", "encoding": "float32", "measure": true } } }
            """);
        var render = CommandRun.Of("render", graph, "--json");
        Assert.Equal((0, ""), (render.ExitCode, render.Error));
        using var report = JsonDocument.Parse(render.Out);
        var points = report.RootElement.GetProperty("measures").EnumerateArray().ToList();
        Assert.Equal([("a", "signal"), ("soft", "output")], points.Select(point => (point.GetProperty("of").GetString()!, point.GetProperty("kind").GetString()!)));

        using var measure = JsonDocument.Parse(CommandRun.Of("measure", folder["soft.wav"], "--json").Out);
        var file = measure.RootElement.GetProperty("files")[0];
        foreach (var name in Nodes.BuiltInMeters.Catalog.UsualNames)
            Assert.Equal(file.GetProperty(name).GetDouble(), points[1].GetProperty(name).GetDouble(), 0.0002); // floats have 24 bits
        Assert.Contains("measured\n", CommandRun.Of("render", graph).Out, StringComparison.Ordinal);
    }

    [Fact]
    public void AsksForAFile()
    {
        var run = CommandRun.Of("measure");
        Assert.Equal((2, "rendergraph measure: FILE is missing. Try: rendergraph measure mix.wav\n"), (run.ExitCode, run.Error));
    }
}
