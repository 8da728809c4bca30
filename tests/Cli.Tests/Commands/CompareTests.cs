using System.Text.Json;
using System.Text.Json.Nodes;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

[Collection(UsesTheDemo.Name)]
public sealed class CompareTests(DemoFixture demo)
{
    private static readonly JsonDocumentOptions Lenient = new() { CommentHandling = JsonCommentHandling.Skip, AllowTrailingCommas = true };

    [Fact]
    public void TheDemosGraphHelped()
    {
        var run = CommandRun.Of("compare", demo.MainGraph, "--json", "--expect-helped");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        var comparison = Comparison(run);
        Assert.Equal("helped", Kind(comparison));
        Assert.InRange(Between(comparison, "clearanceChangeDb"), 5, 10);
        Assert.True(Between(comparison, "anchorResidueDb") <= -140);
        Assert.Equal(["beater", "grit", "keys", "sub", "voice"], comparison.GetProperty("parts").EnumerateArray().Select(part => part.GetProperty("name").GetString()!).Order());
        Assert.Contains("verdict: helped: the anchor stands", CommandRun.Of("compare", demo.MainGraph).Out, StringComparison.Ordinal);
    }

    /// <summary>What a bell does to the kick, and what to the basses.</summary>
    [Theory]
    [InlineData("kick", -6, "didNotHelp")]
    [InlineData("kick", 0, "didNotHelp")]
    [InlineData("sub", -24, "costTooMuch")]
    [InlineData("sub", -2.5, "helped")]
    public void ACutIsJudgedByWhatItDoesToTheAnchorAndToTheParts(string stem, double gainDb, string expected)
    {
        var graph = Variation("cut.json", graph =>
        {
            graph["nodes"] = new JsonObject
            {
                ["cut"] = new JsonObject { ["type"] = "bell", ["in"] = stem, ["frequencyHz"] = 50, ["gainDb"] = gainDb, ["q"] = 0.7 },
                ["mix"] = new JsonObject { ["type"] = "mix", ["in"] = new JsonArray([.. new[] { "kick", "beater", "sub", "grit", "keys", "snare", "hats", "voice" }.Select(name => JsonValue.Create(name == stem ? "cut" : name))]) },
            };
        });

        var compared = CommandRun.Of("compare", graph, "--json", "--expect-helped");
        Assert.Equal(expected, Kind(Comparison(compared)));
        Assert.Equal(expected == "helped" ? 0 : 1, compared.ExitCode);

        // And so says the render.
        using var folder = new TempFolder();
        using var rendered = JsonDocument.Parse(CommandRun.Of("render", graph, "--out", folder.Path, "--json").Out);
        Assert.Equal(expected, Kind(rendered.RootElement));
        if (gainDb == 0)
            Assert.Equal("nothing has changed", rendered.RootElement.GetProperty("verdict").GetProperty("reason").GetString());
    }

    [Fact]
    public void TwoFilesAreLinedUpAndMadeEquallyLoud()
    {
        using var folder = new TempFolder();
        var song = Signals.Noise(4 * 48_000, seed: 3, amplitude: 0.4);
        WaveFile.Write(folder["before.wav"], song);
        WaveFile.Write(folder["after.wav"], Signals.Fill(1, song.Frames + 480, (_, frame) => frame < 480 ? 0 : song[0][frame - 480] / 2));
        var run = CommandRun.Of("compare", folder["before.wav"], folder["after.wav"], "--json");
        Assert.Equal(0, run.ExitCode);
        var comparison = Comparison(run);
        Assert.Equal(480, comparison.GetProperty("shiftFrames").GetInt32());
        Assert.Equal(song.Frames, comparison.GetProperty("heardFrames").GetInt32());
        Assert.Equal(6.02, Between(comparison, "loudnessMatchLu"), 0.02);
        Assert.InRange(Between(comparison, "residueAtBestGainDb"), -95, -70); // what 16 bits leave
        Assert.StartsWith("two finished files do not tell", comparison.GetProperty("measures").GetProperty("clearanceDb").GetProperty("notMeasurable").GetString(), StringComparison.Ordinal);
        var text = CommandRun.Of("compare", folder["before.wav"], folder["after.wav"]).Out;
        Assert.Contains("The second plays everything 480 frames (10.0 ms) later; that is taken out.", text, StringComparison.Ordinal);
        Assert.Contains("To be equally loud, the second is given +6.0 dB.", text, StringComparison.Ordinal);
    }

    [Fact]
    public void FilesOfTwoFoldersArePairedByName()
    {
        using var folder = new TempFolder();
        foreach (var name in new[] { "a/mix.wav", "a/sub.wav", "b/mix.wav", "b/notes.txt", "b/new.wav" })
        {
            Directory.CreateDirectory(Path.GetDirectoryName(folder[name])!);
            WaveFile.Write(folder[name], Signals.Noise(48_000, seed: 3));
        }

        var run = CommandRun.Of("compare", folder["a"], folder["b"], "--json").Without(folder.Path);
        Assert.Equal(0, run.ExitCode);
        Assert.Equal("didNotHelp", Kind(Comparison(run)));
        Assert.Equal(
            "a/sub.wav: RG301: warning: there is no such file in b, so it is not compared. Render it there too, if it matters.\n"
            + "b/new.wav: RG301: warning: there is no such file in a, so it is not compared. Render it there too, if it matters.\n", run.Error.Replace('\\', '/'));
    }

    [Fact]
    public void TwoGraphsAreComparedWithoutWritingTheirFiles()
    {
        var softer = Variation("softer.json", graph => graph["nodes"]!["subRoom"]!["depthDb"] = 3);
        var before = Directory.GetFiles(demo.Folder);
        var run = CommandRun.Of("compare", softer, demo.MainGraph, "--json");
        Assert.Equal((0, ""), (run.ExitCode, run.Error));
        var comparison = Comparison(run);
        Assert.InRange(Between(comparison, "clearanceChangeDb"), 1, 6);
        Assert.True(Between(comparison, "anchorResidueDb") <= -120); // both through 32-bit floating point
        Assert.Contains(comparison.GetProperty("parts").EnumerateArray(), part => part.GetProperty("name").GetString() == "sub" && part.GetProperty("changeLu").GetDouble() < -0.1);
        Assert.Equal(before, Directory.GetFiles(demo.Folder));

        var same = Comparison(CommandRun.Of("compare", demo.MainGraph, demo.MainGraph, "--json"));
        Assert.Equal("nothing has changed", same.GetProperty("verdict").GetProperty("reason").GetString());
    }

    [Fact]
    public void OfAPartOrAPointThereIsNoVerdict()
    {
        using var folder = new TempFolder();
        foreach (var option in new[] { "--from=1", "--only=mix" })
        {
            using var json = JsonDocument.Parse(CommandRun.Of("render", demo.MainGraph, "--out", folder.Path, option, "--json").Out);
            Assert.Equal(JsonValueKind.Null, json.RootElement.GetProperty("verdict").ValueKind);
        }
    }

    [Theory]
    [InlineData("before.wav|graph.json", 2, "rendergraph compare: \"before.wav\" is an audio file and \"graph.json\" is a graph. Name two of a kind.\n")]
    [InlineData("before.wav", 2, "rendergraph compare: \"before.wav\" is an audio file, which must be compared with another. Name two, or one graph.\n")]
    [InlineData("gone.wav|gone-too.wav", 3, "gone-too.wav: RG301: there is no such file. Check its name and folder.\ngone.wav: RG301: there is no such file. Check its name and folder.\n")]
    [InlineData("before.wav|after.wav|third.wav", 2, null)]
    public void WhatCannotBeComparedIsTold(string paths, int exitCode, string? error)
    {
        using var folder = new TempFolder();
        WaveFile.Write(folder["before.wav"], Signals.Noise(4800));
        var run = CommandRun.Of(["compare", .. paths.Split('|').Select(path => folder[path])]).Without(folder.Path);
        Assert.Equal(exitCode, run.ExitCode);
        if (error is not null)
            Assert.Equal(error, run.Error);
    }

    [Fact]
    public void AGraphWithoutAMixHasNoSongToCompare()
    {
        using var folder = new TempFolder();
        WaveFile.Write(folder["kick.wav"], Signals.Noise(4800));
        var run = CommandRun.Of("compare", folder.Write("song.json", """{ "format": 1, "stems": { "kick": { "file": "kick.wav" } }, "outputs": { "kick": { "in": "kick", "file": "out.wav" } } }""")).Without(folder.Path);
        Assert.Equal((2, "song.json: RG213: none of its outputs comes from a mix, so there is no song to compare. Add up the stems in a mix, and let an output take it.\n"), (run.ExitCode, run.Error));
    }

    private string Variation(string name, Action<JsonNode> change)
    {
        var graph = JsonNode.Parse(File.ReadAllText(demo.MainGraph), documentOptions: Lenient)!;
        graph["outputs"] = JsonNode.Parse("""{ "mix": { "in": "mix", "file": "varied.wav" } }""");
        change(graph);
        ((JsonObject)graph["nodes"]!).Remove("lows");
        File.WriteAllText(demo.Graph(name), graph.ToJsonString());
        return demo.Graph(name);
    }

    private static JsonElement Comparison(CommandRun run) => JsonDocument.Parse(run.Out).RootElement.GetProperty("comparisons").EnumerateArray().Single();

    private static string Kind(JsonElement element) => element.GetProperty("verdict").GetProperty("kind").GetString()!;

    private static double Between(JsonElement comparison, string name) => comparison.GetProperty("between").GetProperty(name).GetDouble();
}
