using System.Text.Json;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

public sealed class GateCommandTests
{
    private static string Graph(string gates) => $$"""
        { "format": 1, "tempoBpm": 120,
          "stems": { "kick": { "file": "kick.wav" }, "bass": { "file": "bass.wav" }, "aside": { "file": "aside.wav" } },
          "nodes": { "mix": { "type": "mix", "in": ["kick", "bass"] } },
          "outputs": { "mix": { "in": "mix", "file": "mix.wav" }, "aside": { "in": "aside", "file": "aside-out.wav" } },
          "expect": [
            {{gates}}
          ] }
        """;

    private static TempFolder Folder()
    {
        var folder = new TempFolder();
        // At 2.5 s, which is bar 2, beat 2, the kick is at its loudest; the stem that is no part of the mix is louder still.
        WaveFile.Write(folder["kick.wav"], Signals.Fill(1, 4 * 48_000, (_, frame) => Math.Exp(-Math.Pow((frame - 120_000) / 4000.0, 2)) * 0.5 * Math.Cos(2 * Math.PI * 50 * (frame - 120_000) / 48_000)));
        WaveFile.Write(folder["bass.wav"], Signals.Sine(60, 48_000, 4 * 48_000, amplitude: 0.1));
        WaveFile.Write(folder["aside.wav"], Signals.Sine(60, 48_000, 4 * 48_000, amplitude: 0.9));
        return folder;
    }

    [Fact]
    public void AFailingGateIsExitCodeOneWithValueLimitPlaceStemAndReasonAndEverythingIsWritten()
    {
        using var folder = Folder();
        var graph = folder.Write("song.json", Graph("""
            { "measure": "samplePeakDbfs", "of": "mix", "atMost": -12, "why": "the master needs room" },
                { "measure": "samplePeakDbfs", "of": "mix", "atMost": 0 }
            """));
        var run = CommandRun.Of("render", graph).Without(folder.Path);
        Assert.Equal(1, run.ExitCode);
        Assert.Matches(
            @"^song\.json:6:5: RG501: samplePeakDbfs of output ""mix"" is -\d\.\d+ at 0:02\.5[0-3]\d \(bar 2\.2\.\d\d\), where ""kick"" is the loudest stem, but must be at most -12\. "
            + @"It is \d\.\d+ dB too high: the master needs room\.\n$", run.Error);
        Assert.Contains("FAILED  samplePeakDbfs of output \"mix\"", run.Out, StringComparison.Ordinal);
        Assert.Contains("holds   samplePeakDbfs of output \"mix\"", run.Out, StringComparison.Ordinal);
        Assert.True(File.Exists(folder["mix.wav"]));
    }

    /// <summary>The kick's one hit is at 2.4 s or a little later; the bass is what stands in its way, though the kick is louder.</summary>
    [Fact]
    public void AGateAgainstTheAnchorNamesTheWorstHitAndTheStemInItsWay()
    {
        using var folder = Folder();
        var graph = folder.Write("song.json", Graph("""
            { "measure": "clearanceDb", "of": "mix", "atLeast": 40 }, { "measure": "lowEndDbfs", "of": "mix", "atMost": -60, "during": "hits" },
                { "measure": "overlap", "of": "bass", "atMost": 1 }, { "measure": "truePeakDbtp", "of": "mix", "atMost": 0, "during": "hits" }
            """).Replace("\"nodes\"", "\"anchor\": { \"stem\": \"kick\", \"frequencyHz\": 50 },\n  \"nodes\"", StringComparison.Ordinal));
        var run = CommandRun.Of("render", graph).Without(folder.Path);
        Assert.Equal(1, run.ExitCode);
        Assert.Matches(
            @"^song\.json:7:5: RG501: clearanceDb of output ""mix"" is \d+\.\d+ at 0:02\.[34]\d\d \(bar 2\.1\.\d\d\), where ""bass"" is the loudest stem beside the anchor, but must be at least 40\. It is \d+\.\d+ dB too low\.\n"
            + @"song\.json:7:63: RG501: lowEndDbfs of output ""mix"" at the hits is -\d+\.\d+ at 0:02\.[34]\d\d \(bar 2\.1\.\d\d\), where ""kick"" is the loudest stem in the low end, but must be at most -60\. It is \d+\.\d+ dB too high\.\n$",
            run.Error);
        Assert.Matches(@"holds +overlap of ""bass""", run.Out);
        Assert.Matches("mix.*at the hits", run.Out);
    }

    [Fact]
    public void GatesThatHoldAreExitCodeZero()
    {
        using var folder = Folder();
        var graph = folder.Write("song.json", Graph("""{ "measure": "samplePeakDbfs", "of": "mix", "within": [-7, 0] }"""));
        var run = CommandRun.Of("render", graph);
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
    }

    [Fact]
    public void JsonTellsHowEveryGateFared()
    {
        using var folder = Folder();
        var graph = folder.Write("song.json", Graph("""
            { "measure": "samplePeakDbfs", "of": "mix", "atMost": -12 }, { "measure": "truePeakDbtp", "of": "kick", "atMost": 0 },
            { "measure": "loudnessRangeLu", "of": "mix", "atMost": 3, "during": [0, 1] }
            """));
        var run = CommandRun.Of("render", graph, "--json");
        Assert.Equal(1, run.ExitCode);
        using var json = JsonDocument.Parse(run.Out);
        Assert.False(json.RootElement.GetProperty("ok").GetBoolean());
        var gates = json.RootElement.GetProperty("gates").EnumerateArray().ToList();
        Assert.Equal(["failed", "holds", "failed"], gates.Select(gate => gate.GetProperty("state").GetString()!));
        Assert.Equal("kick", gates[0].GetProperty("stem").GetString());
        Assert.Equal(2.5, gates[0].GetProperty("atSeconds").GetDouble(), 0.03);
        Assert.Equal(JsonValueKind.Null, gates[2].GetProperty("value").ValueKind);
        Assert.Equal("it lasts 1 s, and 3 s are needed", gates[2].GetProperty("notMeasurable").GetString());
        Assert.Equal(["RG501", "RG501"], json.RootElement.GetProperty("findings").EnumerateArray().Select(finding => finding.GetProperty("code").GetString()!));
    }

    [Fact]
    public void AGateOfAChangeTellsBothValues()
    {
        using var folder = Folder();
        var graph = folder.Write("song.json", Graph("""
            { "measure": "samplePeakDbfs", "of": "mix", "against": "untreated", "atMost": -1 },
                { "measure": "samplePeakDbfs", "of": "mix", "against": "untreated", "within": [-0.1, 0.1] }
            """));
        var run = CommandRun.Of("render", graph).Without(folder.Path);
        Assert.Equal(1, run.ExitCode);
        Assert.Matches(
            @"^song\.json:6:5: RG501: change of samplePeakDbfs of output ""mix"" is 0\.0 \(-4\.\d+, untreated -4\.\d+\) at 0:02\.5\d\d \(bar 2\.2\.\d\d\), where ""kick"" is the loudest stem, but must be at most -1\. "
            + @"It is 1\.0 dB too high\.\n$", run.Error);
        Assert.Matches(@"holds   change of samplePeakDbfs of output ""mix"" +0\.0 \(-4\.\d+, untreated -4\.\d+\) +from -0\.1 to 0\.1", run.Out);

        using var json = JsonDocument.Parse(CommandRun.Of("render", graph, "--json").Out);
        var gate = json.RootElement.GetProperty("gates")[1];
        Assert.Equal("untreated", gate.GetProperty("against").GetString());
        Assert.Equal(gate.GetProperty("treated").GetDouble(), gate.GetProperty("untreated").GetDouble());
    }

    [Fact]
    public void OnlyOnePointAndAPartAreNotJudged()
    {
        using var folder = Folder();
        var graph = folder.Write("song.json", Graph("""{ "measure": "samplePeakDbfs", "of": "mix", "atMost": -12 }"""));
        Assert.Equal(0, CommandRun.Of("render", graph, "--only", "kick").ExitCode);
        var part = CommandRun.Of("render", graph, "--from", "1", "--json");
        Assert.Equal(0, part.ExitCode);
        Assert.Contains("\"notJudged\"", part.Out, StringComparison.Ordinal);
    }
}
