using System.Text.Json;
using System.Text.RegularExpressions;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

/// <summary>The demo's kick is a known score: 20 hits of a tone that settles at 52 Hz, the first at 2.5 s.</summary>
[Collection(UsesTheDemo.Name)]
public sealed class HitsTests(DemoFixture demo)
{
    [Fact]
    public void TellsTheAnchorsHitsAndItsNote()
    {
        var run = CommandRun.Of("hits", demo.Graph("low-tide-ferry.json"));
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.StartsWith("kick at 52 Hz (G#1 +3 cents), measured with confidence 0.", run.Out, StringComparison.Ordinal);
        Assert.Contains("hits, the first at 0:02.500\n", run.Out, StringComparison.Ordinal);
        Assert.Equal(20, run.Out.Split('\n').Count(line => Regex.IsMatch(line, @"^ +\d+  \d:\d\d\.\d{3} +[01]\.\d\d$")));
    }

    [Fact]
    public void AFileOfHitsIsWrittenAndReadAndSteersARender()
    {
        using var folder = new TempFolder();
        Assert.Equal(0, CommandRun.Of("hits", demo.Graph("by-the-hits.json"), "--out", folder["hits.csv"]).ExitCode);
        var lines = File.ReadAllLines(folder["hits.csv"]);
        Assert.Equal(("seconds,strength", 21), (lines[0], lines.Length));
        Assert.StartsWith("2.500", lines[1], StringComparison.Ordinal);

        // All but the first two: the reports then tell of those.
        File.WriteAllLines(demo.Graph("edited-hits.csv"), lines[..3]);
        var text = File.ReadAllText(demo.Graph("by-the-hits.json"));
        File.WriteAllText(demo.Graph("edited.json"), text.Replace("\"frequencyHz\": \"measure\"", "\"frequencyHz\": \"measure\", \"hits\": \"edited-hits.csv\"", StringComparison.Ordinal));
        var run = CommandRun.Of("render", demo.Graph("edited.json"), "--out", folder["out"], "--json");
        Assert.Equal(0, run.ExitCode);
        using var report = JsonDocument.Parse(run.Out);
        var anchor = report.RootElement.GetProperty("anchor");
        Assert.Equal(2, anchor.GetProperty("hits").GetArrayLength());
        Assert.Equal(52, anchor.GetProperty("frequencyHz").GetDouble());
        Assert.True(anchor.GetProperty("measured").GetBoolean());
        var room = report.RootElement.GetProperty("nodes").EnumerateArray().Single(node => node.GetProperty("name").GetString() == "subRoom");
        Assert.Equal(2, room.GetProperty("figures").GetProperty("hitCount").GetDouble());
    }

    [Fact]
    public void AnAudioFileIsListenedToByItself()
    {
        var run = CommandRun.Of("hits", demo.Graph(Path.Combine("stems", "kick.wav")), "--json");
        using var report = JsonDocument.Parse(run.Out);
        var anchor = report.RootElement.GetProperty("anchor");
        Assert.Equal(("kick.wav", 52.0, 20), (anchor.GetProperty("stem").GetString(), anchor.GetProperty("frequencyHz").GetDouble(), anchor.GetProperty("hits").GetArrayLength()));
        Assert.Equal("G#1", anchor.GetProperty("note").GetString());
        Assert.InRange(anchor.GetProperty("confidence").GetDouble(), 0.9, 1);
    }

    [Fact]
    public void AFileThatMayHaveBeenEditedIsNotWrittenOver()
    {
        using var folder = new TempFolder();
        File.WriteAllText(folder["hits.csv"], "mine");
        var refused = CommandRun.Of("hits", demo.Graph("low-tide-ferry.json"), "--out", folder["hits.csv"]);
        Assert.Equal(2, refused.ExitCode);
        Assert.Contains("may have been edited", refused.Error, StringComparison.Ordinal);
        Assert.Equal("mine", File.ReadAllText(folder["hits.csv"]));
        Assert.Equal(0, CommandRun.Of("hits", demo.Graph("low-tide-ferry.json"), "--out", folder["hits.csv"], "--force").ExitCode);
        Assert.StartsWith("seconds,strength\n", File.ReadAllText(folder["hits.csv"]), StringComparison.Ordinal);
    }

    [Fact]
    public void WhatCannotBeIsToldWithItsExitCode()
    {
        using var folder = new TempFolder();
        Assert.Equal(3, CommandRun.Of("hits", folder["none.wav"]).ExitCode);
        Assert.Equal(2, CommandRun.Of("hits", demo.Graph("first-light.json")).ExitCode);
        Assert.Equal(4, CommandRun.Of("hits", demo.Graph("low-tide-ferry.json"), "--out", folder[Path.Combine("none", "hits.csv")]).ExitCode);
        Assert.Empty(Directory.EnumerateFileSystemEntries(folder[""]));
    }
}
