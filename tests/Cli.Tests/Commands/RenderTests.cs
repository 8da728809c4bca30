using System.Text.Json;
using RenderGraph.Cli.Demo;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

[Collection(UsesTheDemo.Name)]
public sealed class RenderTests(DemoFixture demo)
{
    public static TheoryData<string> Examples => [.. DemoFolder.Graphs];

    /// <summary>From before the first hit into the second bar of hits, and again over the end, where tails are.</summary>
    [Theory]
    [MemberData(nameof(Examples))]
    public void APartIsThatPartOfTheWholeAndLeavesTheWholeAlone(string example)
    {
        var rateHz = example == "another-rate.json" ? 44_100 : 48_000;
        using var folder = new TempFolder();
        Assert.Equal(0, CommandRun.Of("render", demo.Graph(example), "--out", folder.Path).ExitCode);
        var whole = folder.Names.ToDictionary(name => name, name => (Bytes: File.ReadAllBytes(folder[name]), Sound: WaveFile.Read(folder[name])));

        Assert.Equal(0, CommandRun.Of("render", demo.Graph(example), "--out", folder.Path, "--from", "2.25", "--to", "0:06.5").ExitCode);
        Assert.Equal(0, CommandRun.Of("render", demo.Graph(example), "--out", folder.Path, "--from", "19.3").ExitCode);

        Assert.Equal(3 * whole.Count, folder.Names.Count);
        foreach (var (name, (bytes, sound)) in whole)
        {
            Assert.Equal(bytes, File.ReadAllBytes(folder[name]));
            Same(sound, FrameAt(2.25), FrameAt(6.5), Path.ChangeExtension(name, "0m2.25s-0m6.5s.wav"));
            Same(sound, FrameAt(19.3), sound.Frames, Path.ChangeExtension(name, "0m19.3s-end.wav"));
        }

        int FrameAt(double seconds) => (int)Math.Round(seconds * rateHz);

        void Same(RenderGraph.Graph.Contracts.Signal all, int start, int end, string part)
        {
            var written = WaveFile.Read(folder[part]);
            Assert.Equal((all.Channels, end - start), (written.Channels, written.Frames));
            for (var channel = 0; channel < all.Channels; channel++)
                Assert.True(all[channel][start..end].SequenceEqual(written[channel]), part);
        }
    }

    [Theory]
    [InlineData("sub", "sub.only.wav")]
    [InlineData("subRoom", "subRoom.only.wav")]
    [InlineData("gritRoom.1", "gritRoom.1.only.wav")]
    public void OnlyWritesOneStemNodeOrStep(string name, string file)
    {
        using var folder = new TempFolder();
        var run = CommandRun.Of("render", demo.MainGraph, "--out", folder.Path, "--only", name);
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.Equal([file], folder.Names);
        Assert.Equal(DemoScore.LengthFrames, WaveFile.Read(folder[file]).Frames);
    }

    [Fact]
    public void OnlyOfAStemIsTheStemAtItsGain()
    {
        using var folder = new TempFolder();
        Assert.Equal(0, CommandRun.Of("render", demo.MainGraph, "--out", folder.Path, "--only", "sub").ExitCode);
        var (stem, only) = (WaveFile.Read(demo.Graph(Path.Combine("stems", "sub.wav"))), WaveFile.Read(folder["sub.only.wav"]));

        // Half a step of 24 bits for rounding and one for the triangular dither.
        for (var frame = 0; frame < stem.Frames; frame += 101)
            Assert.Equal(stem[0][frame] * Math.Pow(10, -0.5 / 20), only[0][frame], 1.5 / (1 << 23));
    }

    [Fact]
    public void OnlyOfTheMixIsTheMix()
    {
        using var folder = new TempFolder();
        Assert.Equal(0, CommandRun.Of("render", demo.Graph("first-light.json"), "--out", folder.Path).ExitCode);
        Assert.Equal(0, CommandRun.Of("render", demo.Graph("first-light.json"), "--out", folder.Path, "--only", "mix").ExitCode);
        Assert.Equal(File.ReadAllBytes(folder["first-light.wav"]), File.ReadAllBytes(folder["mix.only.wav"]));
    }

    [Fact]
    public void WhatWasConvertedIsToldByEveryCommand()
    {
        using var folder = new TempFolder();
        var graph = demo.Graph("another-rate.json");
        var render = CommandRun.Of("render", graph, "--out", folder.Path);
        Assert.Equal((0, ""), (render.ExitCode, render.Error));
        Assert.Matches(@"Converted to 44100 Hz, in place and without a shift of phase:\s+kick \(from\s+48000\s+Hz\),", render.Out);
        Assert.Matches(@"kick +44100 Hz .*stems/kick\.wav \(converted from 48000 Hz\)", CommandRun.Of("check", graph).Out);
        Assert.Contains("\"convertedFromHz\": 48000", CommandRun.Of("check", graph, "--json").Out, StringComparison.Ordinal);
        Assert.Contains("read, from 48000 Hz", CommandRun.Of("plan", graph).Out, StringComparison.Ordinal);
    }

    [Fact]
    public void JsonIsStrictAndHoldsTheFigures()
    {
        using var folder = new TempFolder();
        var run = CommandRun.Of("render", demo.MainGraph, "--out", folder.Path, "--json");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        using var json = JsonDocument.Parse(run.Out);
        var root = json.RootElement;
        Assert.True(root.GetProperty("ok").GetBoolean());
        Assert.Equal(48_000, root.GetProperty("sampleRateHz").GetInt32());
        Assert.Equal(0, root.GetProperty("findings").GetArrayLength());

        var mix = root.GetProperty("outputs").EnumerateArray().Single(output => output.GetProperty("name").GetString() == "mix");
        Assert.Equal(folder["mix.wav"], mix.GetProperty("file").GetString());
        Assert.Equal(DemoScore.LengthFrames, mix.GetProperty("lengthFrames").GetInt64());
        var sound = WaveFile.Read(folder["mix.wav"]);
        var peak = Math.Max(sound[0].ToArray().Max(Math.Abs), sound[1].ToArray().Max(Math.Abs));
        Assert.Equal(20 * Math.Log10(peak), mix.GetProperty("peakDbfs").GetDouble(), 0.001);

        var room = root.GetProperty("nodes").EnumerateArray().Single(node => node.GetProperty("name").GetString() == "subRoom").GetProperty("figures");
        Assert.Equal(9, room.GetProperty("deepestCutDb").GetDouble(), 0.001);
        Assert.Equal(DemoScore.Kicks[0].StartFrame / 48_000.0, room.GetProperty("firstHitSeconds").GetDouble(), 0.02);
    }

    [Theory]
    [InlineData("check", "--json")]
    [InlineData("plan", "--format=json")]
    public void OtherCommandsSpeakStrictJsonToo(string command, string option)
    {
        using var good = JsonDocument.Parse(CommandRun.Of(command, demo.MainGraph, option).Out);
        Assert.True(good.RootElement.GetProperty("ok").GetBoolean());

        using var folder = new TempFolder();
        var refused = CommandRun.Of(command, folder.Write("wrong.json", "{ \"format\": 1 }"), option);
        Assert.Equal(2, refused.ExitCode);
        using var bad = JsonDocument.Parse(refused.Out);
        Assert.False(bad.RootElement.GetProperty("ok").GetBoolean());
        Assert.NotEqual(0, bad.RootElement.GetProperty("findings").GetArrayLength());
    }

    [Fact]
    public void NodesInJsonAreTheWholeCatalog()
    {
        using var json = JsonDocument.Parse(CommandRun.Of("nodes", "--json").Out);
        Assert.Equal(
            RenderGraph.Nodes.BuiltInNodes.Catalog.Types.Select(type => type.Name),
            json.RootElement.GetProperty("nodes").EnumerateArray().Select(node => node.GetProperty("name").GetString()!));
    }

    [Fact]
    public void ClippedSamplesAreToldAboutWithTheRemedy()
    {
        using var folder = new TempFolder();
        var graph = demo.Graph("too-loud.json");
        File.WriteAllText(graph, """
            {
              "format": 1,
              "stems": { "kick": { "file": "stems/kick.wav" } },
              "nodes": { "louder": { "type": "gain", "in": "kick", "gainDb": 12 } },
              "outputs": { "loud": { "in": "louder", "file": "loud.wav" } }
            }
            """);
        var run = CommandRun.Of("render", graph, "--out", folder.Path).Without(folder.Path);
        File.Delete(graph);
        Assert.Equal(0, run.ExitCode);
        Assert.Matches(
            @"^loud\.wav: RG405: warning: output ""loud"" reaches \d\.\d dBFS, and \d+ of its samples were held at full scale\. Turn what goes into it down by \d\.\d dB with a gain node, or write float32\.\n$",
            run.Error);
    }
}
