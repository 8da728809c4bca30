using System.Text;
using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Nodes;
using Xunit;

namespace RenderGraph.Graph.Tests.Binding;

public sealed class RecipeTests
{
    private const string Plain = """
        {
          "format": 1,
          "stems": {
            "kick": { "match": ["kick*", "bd*"] },
            "sub": { "match": "*sub*", "gainDb": -1 },
            "others": { "match": ["*", "!*click*"], "many": true, "optional": true, "measure": ["samplePeakDbfs"] },
            "click": { "match": "*click*", "optional": true }
          },
          "anchor": { "stem": "kick", "frequencyHz": 52 },
          "nodes": {
            "room": { "type": "keyedCut", "in": "sub", "frequencyHz": "anchor", "depthDb": 9 },
            "mix": { "type": "mix", "in": ["kick", { "from": "room", "gainDb": -1 }, "others", "click"] }
          },
          "outputs": { "mix": { "in": "mix", "file": "mix.wav" } }
        }
        """;

    [Fact]
    public void EachFileGoesToTheFirstStemThatMatchesInTheOrderWritten()
    {
        var bound = Bind(Plain, ["keys.wav", "Kick sub.wav", "deep sub.wav", "a-click.wav", "keys 2.aif"]);
        Assert.Equal(
            [
                "kick: Kick sub.wav by \"kick*\"", "sub: deep sub.wav by \"*sub*\"", "others-1: keys 2.aif by \"*\"", "others-2: keys.wav by \"*\"", "click: a-click.wav by \"*click*\"",
            ],
            bound.Files.Select(file => $"{file.Stem}: {file.File} {file.Why}"));
        Assert.Empty(bound.Dropped);
    }

    [Fact]
    public void WhatManyTakesIsSummedUnderTheStemsName()
    {
        var bound = Bind(Plain, ["kick.wav", "sub.wav", "keys.wav", "voice.wav"]);
        Assert.Equal(["kick", "sub", "others-1", "others-2"], bound.Document.Stems.Select(stem => stem.Id));
        var sum = bound.Document.Nodes[0];
        Assert.Equal(("others", "mix"), (sum.Id, sum.Type.Name));
        Assert.Equal(["others-1", "others-2"], sum.Inputs.Select(input => input!.From));
        Assert.Equal("others", Assert.Single(bound.Document.Measured).Name);
        Assert.Equal(-1, bound.Document.Stems[1].GainDb);
    }

    [Fact]
    public void OneFileOfManyIsTheStemItself() =>
        Assert.Equal(["kick", "sub", "others"], Bind(Plain, ["kick.wav", "sub.wav", "keys.wav"]).Document.Stems.Select(stem => stem.Id));

    [Fact]
    public void TheNamesOfASumsPartsAreFree()
    {
        var bound = Bind(Plain.Replace("\"room\"", "\"others-1\"", StringComparison.Ordinal), ["kick.wav", "sub.wav", "keys.wav", "voice.wav"]);
        Assert.Equal(["kick", "sub", "others-2", "others-3"], bound.Document.Stems.Select(stem => stem.Id));
    }

    [Fact]
    public void NamesThatDifferInCaseOrCompositionAreTwoFilesAndBothAreTaken() =>
        Assert.Equal(
            ["Caf\u00E9.wav", "KEYS.wav", "cafe\u0301.wav", "keys.wav"],
            Bind(Plain, ["kick.wav", "sub.wav", "keys.wav", "KEYS.wav", "Caf\u00E9.wav", "cafe\u0301.wav"]).Document.Stems.Skip(2).Select(stem => stem.File.Value));

    [Fact]
    public void SignsOfPatternsInAFilesNameAreOnlySigns() =>
        Assert.Equal(
            ["!loud.wav", "-dash.wav", "[take] *2*?.wav", "a b  c.wav", "{x}.wav"],
            Bind(Plain, ["kick.wav", "sub.wav", "[take] *2*?.wav", "!loud.wav", "-dash.wav", "a b  c.wav", "{x}.wav"]).Document.Stems.Skip(2).Select(stem => stem.File.Value));

    [Fact]
    public void TheOrderInWhichFilesAreFoundChangesNothing()
    {
        string[] files = ["kick.wav", "sub.wav", "keys.wav", "KEYS.wav", "voice.wav", "a-click.wav"];
        var first = Bind(Plain, files).Write();
        for (var turn = 1; turn < files.Length; turn++)
            Assert.Equal(first, Bind(Plain, [.. files[turn..], .. files[..turn]]).Write());
    }

    [Fact]
    public void WhatIsWrittenReadsAsTheSameGraph()
    {
        var bound = Bind(Plain, ["kick.wav", "sub.wav", "keys \"loud\"\u2028.wav", "voice.wav"], "{ \"tempoBpm\": 96.50, \"nodes\": { \"room\": { \"depthDb\": 4 } } }");
        var diagnostics = new DiagnosticList();
        var text = bound.Write();
        var again = GraphReader.Read("bound.json", Encoding.UTF8.GetBytes(text), BuiltInNodes.Catalog, diagnostics)!;
        Assert.Empty(diagnostics.InOrder);
        Assert.Contains("96.50", text, StringComparison.Ordinal);
        Assert.Equal((bound.Document.Title, bound.Document.TempoBpm), (again.Title, again.TempoBpm));
        Assert.Equal(bound.Document.Stems.Select(stem => (stem.Id, stem.File.Value, stem.GainDb)), again.Stems.Select(stem => (stem.Id, stem.File.Value, stem.GainDb)));
        Assert.Equal(bound.Document.Nodes.Select(Shown), again.Nodes.Select(Shown));
        Assert.Equal(bound.Document.Outputs.Select(output => (output.Id, output.From.Value)), again.Outputs.Select(output => (output.Id, output.From.Value)));

        static string Shown(NodeEntry node) => $"{node.Id} {node.Type.Name} {string.Join(",", node.Inputs.Select(input => $"{input!.From}{input.GainDb}"))} {string.Join(",", node.Body.Members.Select(key => (key.Value as JsonNumber)?.Written))}";
    }

    [Fact]
    public void ASongSaysWhichFileIsWhichStem()
    {
        var bound = Bind(Plain, ["bd.wav", "BD 2.wav", "low.wav", "keys.wav", "voice.wav"], """
            { "stems": { "kick": { "file": "BD 2.wav", "startMs": 12, "gainDb": -3 }, "sub": { "match": "low*" }, "others": { "match": ["keys", "voice"] }, "click": { "file": "bd.wav" } } }
            """);
        Assert.Equal("click: bd.wav by its name", bound.Files.Select(file => $"{file.Stem}: {file.File} {file.Why}").Last());

        bound = Bind(Plain, ["bd.wav", "BD 2.wav", "low.wav", "keys.wav", "voice.wav"], """
            { "stems": { "kick": { "file": "BD 2.wav", "startMs": 12, "gainDb": -3 }, "sub": { "match": "low*" }, "others": { "match": ["keys", "voice"] } }, "leaveOut": "bd" }
            """);
        Assert.Equal(["kick: BD 2.wav by its name", "sub: low.wav by \"low*\"", "others-1: keys.wav by \"keys\"", "others-2: voice.wav by \"voice\""], bound.Files.Select(file => $"{file.Stem}: {file.File} {file.Why}"));
        Assert.Equal((12, -3), (bound.Document.Stems[0].StartMs, bound.Document.Stems[0].GainDb));
        Assert.Equal("bd.wav", Assert.Single(bound.LeftOut).File);
    }

    [Fact]
    public void AManyStemMayBeNamedFileByFile() =>
        Assert.Equal(
            ["voice.wav", "keys.wav"],
            Bind(Plain, ["kick.wav", "sub.wav", "keys.wav", "voice.wav"], "{ \"stems\": { \"others\": { \"file\": [\"voice.wav\", \"./x/../keys.wav\"] } } }").Document.Stems.Skip(2).Select(stem => Path.GetFileName(stem.File.Value)));

    [Fact]
    public void ObjectsMergeKeyByKeyAValueReplacesAndNullTakesAway()
    {
        var bound = Bind(Plain, ["kick.wav", "sub.wav"], """
            {
              "title": "Harbour Lights, live", "tempoBpm": 120, "sampleRateHz": 48000,
              "stems": { "sub": { "gainDb": null, "muted": true } },
              "anchor": { "frequencyHz": "measure", "hits": "hits.csv" },
              "nodes": { "room": { "depthDb": 4, "q": 3 }, "mix": { "in": ["kick", "room", "others", "click"], "gainDb": -2 } },
              "outputs": { "mix": { "encoding": "float32" } },
              "expect": [ { "measure": "truePeakDbtp", "of": "mix", "atMost": -1 } ]
            }
            """);
        Assert.Equal(("Harbour Lights, live", 120, 48000), (bound.Document.Title, bound.Document.TempoBpm, bound.Document.SampleRateHz?.Value));
        Assert.Equal((0, true), (bound.Document.Stems[1].GainDb, bound.Document.Stems[1].Muted));
        Assert.Equal(("kick", "hits.csv"), (bound.Document.Anchor!.Stem.Value, bound.Document.Anchor.HitsFile?.Value));
        Assert.Contains("\"room\": { \"type\": \"keyedCut\", \"in\": \"sub\", \"frequencyHz\": \"anchor\", \"depthDb\": 4, \"q\": 3 }", bound.Write(), StringComparison.Ordinal);
        Assert.Contains("\"mix\": { \"type\": \"mix\", \"in\": [\"kick\", \"room\"], \"gainDb\": -2 }", bound.Write(), StringComparison.Ordinal);
        Assert.Single(bound.Document.Expectations);
    }

    [Fact]
    public void ThePlaceOfAValueIsWhereItWasWritten()
    {
        var bound = Bind(Plain, ["kick.wav", "sub.wav"], "{\n  \"stems\": { \"kick\": { \"file\": \"kick.wav\" } }\n}");
        Assert.Equal(new TextPosition(2, 32) { File = "song.json" }, bound.Document.Stems[0].File.At);
        Assert.Equal(new TextPosition(5, 23), bound.Document.Stems[1].File.At);
    }

    [Fact]
    public void TheTitleIsTheSongsAndNotTheRecipes() =>
        Assert.Equal("Harbour Lights", Bind(Plain.Replace("\"stems\"", "\"title\": \"Kick leads\", \"stems\"", StringComparison.Ordinal), ["kick.wav", "sub.wav"]).Document.Title);

    private static BoundSong Bind(string recipe, IReadOnlyList<string> files, string? song = null)
    {
        var diagnostics = new DiagnosticList();
        var bound = Recipe.Read("recipe.json", Encoding.UTF8.GetBytes(recipe), BuiltInNodes.Catalog, diagnostics)!
            .Bind(new("Harbour Lights", files, song is null ? null : ("song.json", Encoding.UTF8.GetBytes(song))), diagnostics);
        Assert.Empty(diagnostics.InOrder);
        return bound!;
    }
}
