using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

[Collection(UsesTheDemo.Name)]
public sealed class AnalyzeTests(DemoFixture demo)
{
    private string Stems => Path.Combine(demo.Folder, "stems");

    /// <summary>The render's meters hear a block at a time; the analysis has every stem's whole low band before it. Both must say the same of the same stems.</summary>
    [Fact]
    public void ARenderMeasuresOfTheRawStemsWhatTheAnalysisSays()
    {
        string[] ofAny = ["lowEndDbfs", "subsonicDbfs", "level20To30Dbfs", "level30To60Dbfs", "level60To120Dbfs", "level120To300Dbfs", "dcDbfs", "monoLossDb"];
        string[] ofParts = ["overlap", "summationGainDb", "phaseDegrees", "phaseConsistency", "peakCostDb"];
        string[] parts = ["sub", "grit", "keys", "snare", "hats", "voice"]; // the beater would be a layer of the anchor
        var measure = $"\"measure\": [{string.Join(", ", ofAny.Concat(ofParts).Select(name => $"\"{name}\""))}]";
        var graph = demo.Graph("raw.json");
        File.WriteAllText(graph, $$"""
            { "format": 1, "stems": { "kick": { "file": "stems/kick.wav" }, {{string.Join(", ", parts.Select(part => $"\"{part}\": {{ \"file\": \"stems/{part}.wav\", {measure} }}"))}} },
              "anchor": { "stem": "kick", "frequencyHz": 52 }, "nodes": { "sum": { "type": "mix", "in": ["kick", {{string.Join(", ", parts.Select(part => $"\"{part}\""))}}], "measure": ["clearanceDb"] } },
              "outputs": { "raw": { "in": "sum", "file": "raw.wav", "encoding": "float32" } } }
            """);
        using var folder = new TempFolder();
        var (render, analyze) = (CommandRun.Of("render", graph, "--json", "--out", folder["out"]), CommandRun.Of("analyze", graph, "--json"));
        Assert.Equal((0, "", 0), (render.ExitCode, render.Error, analyze.ExitCode));
        using var measured = JsonDocument.Parse(render.Out);
        using var analysis = JsonDocument.Parse(analyze.Out);
        var points = measured.RootElement.GetProperty("measures").EnumerateArray().ToDictionary(point => point.GetProperty("of").GetString()!);
        foreach (var stem in analysis.RootElement.GetProperty("stems").EnumerateArray().Where(stem => stem.GetProperty("name").GetString() != "kick"))
        {
            var point = points[stem.GetProperty("name").GetString()!];
            Assert.All(ofAny, name => AssertAlike(stem, point, name));
            Assert.All(ofParts, name => AssertAlike(stem.GetProperty("collision"), point, name));
        }

        AssertAlike(analysis.RootElement.GetProperty("anchor"), points["sum"], "clearanceDb");

        static void AssertAlike(JsonElement expected, JsonElement actual, string name)
        {
            if (expected.GetProperty(name).ValueKind == JsonValueKind.Null)
                Assert.True(actual.GetProperty(name) is { ValueKind: JsonValueKind.Null } || actual.GetProperty(name).GetDouble() == -200, name);
            else
                Assert.Equal(expected.GetProperty(name).GetDouble(), actual.GetProperty(name).GetDouble(), 0.001);
        }
    }

    [Fact]
    public void JsonTellsTheAnchorItsHitsAndEveryStem()
    {
        var run = CommandRun.Of("analyze", Stems, "--json");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        using var json = JsonDocument.Parse(run.Out);
        var anchor = json.RootElement.GetProperty("anchor");

        // The demo's own truth: DemoScore has the kick at 52 Hz, twenty times, first at 2.5 s.
        Assert.Equal("kick", anchor.GetProperty("stem").GetString());
        Assert.Equal(52, anchor.GetProperty("frequencyHz").GetDouble(), 0.5);
        Assert.True(anchor.GetProperty("confidence").GetDouble() > 0.5);
        var hits = anchor.GetProperty("hits").EnumerateArray().ToList();
        Assert.Equal(20, hits.Count);
        Assert.Equal(2.5, hits[0].GetProperty("seconds").GetDouble(), 0.003);
        Assert.True(hits[0].GetProperty("strength").GetDouble() > 0.5);
        Assert.Equal("beater", anchor.GetProperty("layers")[0].GetString());

        var stems = json.RootElement.GetProperty("stems").EnumerateArray().ToDictionary(stem => stem.GetProperty("name").GetString()!);
        Assert.Equal(8, stems.Count);
        Assert.Equal("masking", stems["sub"].GetProperty("collision").GetProperty("finding").GetString());
        Assert.Equal(20, stems["sub"].GetProperty("collision").GetProperty("hits").GetArrayLength());
        Assert.Equal("clear", stems["hats"].GetProperty("collision").GetProperty("finding").GetString());
        Assert.Equal(1, stems.Values.Sum(stem => stem.GetProperty("lowEndShare").GetDouble()), 0.001);
        Assert.Equal(["F1", "G1", "A#1"], stems["sub"].GetProperty("notes").EnumerateArray().Select(note => note.GetProperty("note").GetString()!));
    }

    [Fact]
    public void ThreadsChangeNoLetter()
    {
        var one = CommandRun.Of("analyze", Stems, "--threads", "1", "--json");
        Assert.Equal(one.Out, CommandRun.Of("analyze", Stems, "--threads", "3", "--json").Out);
    }

    [Fact]
    public void AGraphSaysWhoTheAnchorIsAndWhatTheTempoIs()
    {
        var run = CommandRun.Of("analyze", demo.MainGraph, "--json");
        using var json = JsonDocument.Parse(run.Out);
        Assert.True(json.RootElement.GetProperty("anchor").GetProperty("frequencyTold").GetBoolean());
        Assert.All(json.RootElement.GetProperty("worstPlaces").EnumerateArray(), place => Assert.Matches(@"^\d+\.[1-4]\.\d\d$", place.GetProperty("barBeat").GetString()));
    }

    [Fact]
    public void TheNullTestTellsAnExactMixFromAnother()
    {
        using var folder = new TempFolder();
        var (one, other) = (Signals.Noise(96_000, 1, 0.2), Signals.Sine(55, 48_000, 96_000, 0.2));
        WaveFile.Write(folder["one.wav"], one, encoding: SampleEncoding.Float32);
        WaveFile.Write(folder["other.wav"], other, encoding: SampleEncoding.Float32);

        // The mix lies among the stems: it is left out, told so by --against, not by its name.
        WaveFile.Write(folder["ours.wav"], Signals.Fill(1, 96_000, (_, frame) => one[0][frame] + other[0][frame]), encoding: SampleEncoding.Float32);
        using var json = JsonDocument.Parse(CommandRun.Of("analyze", folder.Path, "--against", folder["ours.wav"], "--json").Out);
        Assert.Equal(2, json.RootElement.GetProperty("stems").GetArrayLength());
        Assert.True(json.RootElement.GetProperty("nullTest").GetProperty("residualDb").GetDouble() < -120);
    }

    [Fact]
    public void AFinishedMixBesideTheStemsIsNoStem()
    {
        using var folder = new TempFolder();
        WaveFile.Write(folder["bass.wav"], WaveFile.Tone(48_000));
        WaveFile.Write(folder["Song (Mix).wav"], WaveFile.Tone(48_000));
        var run = CommandRun.Of("analyze", folder.Path, "--json").Without(folder.Path);
        Assert.Equal(0, run.ExitCode);
        Assert.Equal(
            "Song (Mix).wav: RG209: warning: by its name this is a finished mix, not a stem, and it is left out. Compare the stems with it by --against, or give it another name.\n", run.Error);
        using var json = JsonDocument.Parse(run.Out);
        Assert.Equal("bass", Assert.Single(json.RootElement.GetProperty("stems").EnumerateArray()).GetProperty("name").GetString());
    }

    [Fact]
    public void NamesFitForAGraphAreMadeFromFileNames()
    {
        using var folder = new TempFolder();
        foreach (var name in (string[])["01 Kick In.wav", "Bass & Sub.wav", "Bass + Sub.wav", "übung.wav"])
            WaveFile.Write(folder[name], WaveFile.Tone());
        using var json = JsonDocument.Parse(CommandRun.Of("analyze", folder.Path, "--json").Out);
        Assert.Equal(["s01-Kick-In", "Bass-Sub", "Bass-Sub-2", "bung"], json.RootElement.GetProperty("stems").EnumerateArray().Select(stem => stem.GetProperty("name").GetString()!));
    }

    [Fact]
    public void AFileThatCannotBeReadIsToldAndTheOthersAreMeasured()
    {
        using var folder = new TempFolder();
        WaveFile.Write(folder["bass.wav"], WaveFile.Tone(48_000));
        folder.Write("broken.wav", "no sound");
        var run = CommandRun.Of("analyze", folder.Path, "--json").Without(folder.Path);
        Assert.Equal(3, run.ExitCode);
        Assert.Contains("broken.wav: RG30", run.Error, StringComparison.Ordinal);
        using var json = JsonDocument.Parse(run.Out);
        Assert.Equal(1, json.RootElement.GetProperty("stems").GetArrayLength());
        Assert.False(json.RootElement.GetProperty("ok").GetBoolean());
    }

    [Fact]
    public void AnEmptyFolderAMissingOneAndNoneAreTold()
    {
        using var folder = new TempFolder();
        Assert.Equal(3, CommandRun.Of("analyze", folder.Path).ExitCode);
        Assert.Equal(3, CommandRun.Of("analyze", folder["gone"]).ExitCode);
        Assert.Equal(
            (2, "rendergraph analyze: FOLDER|GRAPH is missing. Try: rendergraph analyze stems\n"),
            (CommandRun.Of("analyze").ExitCode, CommandRun.Of("analyze").Error));
    }

    [Fact]
    public void SilenceAloneIsAnAnswerInTextAndJson()
    {
        using var folder = new TempFolder();
        WaveFile.Write(folder["nothing.wav"], Signals.Silence(30_000));
        var run = CommandRun.Of("analyze", folder.Path);
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        Assert.Contains("No anchor", run.Out, StringComparison.Ordinal);
        using var json = JsonDocument.Parse(CommandRun.Of("analyze", folder.Path, "--json").Out);
        Assert.Equal(JsonValueKind.Null, json.RootElement.GetProperty("anchor").ValueKind);
    }
}
