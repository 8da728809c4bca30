using System.Text;
using RenderGraph.Graph.Binding;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes;
using Xunit;

namespace RenderGraph.Graph.Tests.Binding;

/// <summary>What a song does not have, and what goes with it.</summary>
public sealed class OptionalPartsTests
{
    private const string Rich = """
        {
          "format": 1,
          "stems": {
            "kick": { "match": "kick", "optional": true },
            "sub": { "match": "sub", "optional": true },
            "grit": { "match": "grit", "optional": true },
            "keys": { "match": "keys*", "optional": true, "many": true },
            "voice": { "match": "voice", "optional": true, "measure": ["clearanceDb", "integratedLufs"] }
          },
          "anchor": { "stem": "kick", "frequencyHz": 52, "hits": "measure", "optional": true },
          "nodes": {
            "lows": { "type": "lowPass", "in": "mix", "frequencyHz": 120 },
            "mix": { "type": "mix", "in": ["kick", "basses", { "from": "keysRoom", "gainDb": -2 }, "voiceLean.2", "air"] },
            "basses": { "type": "mix", "in": ["subRoom", { "from": "gritRoom", "gainDb": -1 }] },
            "subRoom": { "type": "keyedCut", "in": "sub", "frequencyHz": "anchor", "depthDb": 9 },
            "gritRoom": {
              "type": "chain", "in": "grit",
              "steps": [
                { "type": "duck", "key": "sub" },
                { "type": "highPass", "frequencyHz": 40 },
                { "type": "bell", "frequencyHz": "anchor", "gainDb": -2 },
                { "type": "duck", "key": "gritRoom.1", "measure": ["truePeakDbtp"] }
              ]
            },
            "keysRoom": { "type": "duck", "in": "keys", "key": "voiceLean" },
            "voiceLean": { "type": "chain", "in": "voice", "steps": [ { "type": "duck", "key": "grit" }, { "type": "duck", "key": "keys" } ] },
            "air": { "type": "highPass", "in": "gritRoom.2", "frequencyHz": 2000 }
          },
          "outputs": {
            "mix": { "in": "mix", "file": "mix.wav", "loudnessLufs": -14, "cues": "hits" },
            "monitor": { "in": "lows", "file": "sub.wav", "gainOf": "mix" },
            "bass": { "in": "subRoom", "file": "bass.wav", "bextFrom": "kick" },
            "bassLost": { "in": "subRoom", "kind": "delta", "file": "lost.wav" },
            "keys": { "in": "keysRoom", "file": "keys.wav", "measure": ["clearanceDb"] },
            "parts": { "in": "mix", "kind": "stems", "file": "parts/*.wav" }
          },
          "expect": [
            { "measure": "truePeakDbtp", "of": "mix", "atMost": -1 },
            { "measure": "truePeakDbtp", "of": "gritRoom.3", "atMost": -1 },
            { "measure": "clearanceDb", "of": "lows", "atLeast": 3 },
            { "measure": "truePeakDbtp", "of": "keys", "atMost": -1 },
            { "measure": "truePeakDbtp", "of": "parts.kick", "atMost": -1 }
          ]
        }
        """;

    private static readonly string[] Parts = ["kick", "sub", "grit", "keys 1", "keys 2", "voice"];

    [Fact]
    public void WhateverIsMissingWhatIsLeftIsAGraphInWhichEachOutputHearsWhatIsThere()
    {
        var all = Read(Rich);
        for (var there = 1; there < 1 << Parts.Length; there++)
        {
            var files = Parts.Where((_, part) => ((there >> part) & 1) == 1).Select(name => name + ".wav").ToList();
            var (bound, told) = Bind(Rich, files);
            Assert.True(bound is not null, string.Join(", ", files) + "\n" + told);
            var rest = new DiagnosticList();
            GraphValidator.Validate(bound.Document, 48000, rest);
            Assert.DoesNotContain(rest.InOrder, found => found.Severity == Severity.Error);

            var stems = files.Select(file => file.Split('.', ' ')[0]).ToHashSet();
            foreach (var output in all.Outputs)
            {
                var expected = Heard(all, output.From.Value).Where(stems.Contains).Order().ToList();
                var left = bound.Document.Outputs.FirstOrDefault(other => other.Id == output.Id);
                if (output.Kind == OutputKind.Delta && !stems.Contains("kick"))
                    expected = [];
                Assert.Equal(expected, left is null ? [] : Heard(bound.Document, left.From.Value).Select(name => name.Split('-')[0]).Distinct().Order());
            }
        }
    }

    [Fact]
    public void TellsEveryPartWithItsReason() => Assert.Equal(
        [
            "stem \"kick\": no file of the song is it",
            "stem \"keys\": no file of the song is it",
            "the anchor: its stem \"kick\" is not there",
            "clearanceDb of stem \"voice\": it is measured against the anchor, which is not there",
            "node \"subRoom\": the anchor, which steers it, is not there; its signal passes as it is",
            "step \"gritRoom.3\": its frequencyHz is the anchor's, which is not there; its signal passes as it is",
            "step \"voiceLean.2\": \"keys\", which steers it, is not there; its signal passes as it is",
            "node \"keysRoom\": it takes from \"keys\", which is not there",
            "an input of node \"mix\": it takes from \"kick\", which is not there",
            "an input of node \"mix\": it takes from \"keysRoom\", which is not there",
            "output \"bassLost\": \"subRoom\" takes nothing away any more",
            "output \"keys\": it takes from \"keysRoom\", which is not there",
            "cues of output \"mix\": the anchor is not there",
            "bextFrom of output \"bass\": stem \"kick\" is not there",
            "the gate truePeakDbtp of \"gritRoom.3\": that is not there",
            "the gate clearanceDb of \"lows\": it needs the anchor, which is not there",
            "the gate truePeakDbtp of output \"keys\": that is not there",
            "the gate truePeakDbtp of output \"parts.kick\": that is not there",
        ],
        Bound(["sub.wav", "grit.wav", "voice.wav"]).Dropped.Select(part => part.ToString()));

    [Fact]
    public void StepsMoveUpAndWhoeverNamesThemNamesTheirNewPlace()
    {
        var bound = Bound(["kick.wav", "grit.wav", "voice.wav"]);
        Assert.Equal(["gritRoom", "gritRoom.1", "gritRoom.2", "gritRoom.3"], bound.Document.NodesAndSteps.Select(node => node.Id).Where(id => id.StartsWith("gritRoom", StringComparison.Ordinal)));
        Assert.Equal("gritRoom.1", bound.Document.Nodes.Single(node => node.Id == "air").Inputs[0]!.From);
        Assert.Equal("gritRoom.2", bound.Document.Expectations[1].Of.Value);
        Assert.Equal("gritRoom.3", Assert.Single(bound.Document.Measured, point => point is { Kind: PointKind.Signal, Name: "gritRoom.3" }).Name);

        // Its first step, the duck that "sub" steered, is gone: whoever was steered by it is steered by what it took.
        Assert.Equal("grit", bound.Document.NodesAndSteps.Single(node => node.Id == "gritRoom.3").Inputs[1]!.From);
    }

    [Fact]
    public void AChainOfWhichNothingIsLeftIsWhatItTook()
    {
        var bound = Bound(["kick.wav", "voice.wav"]);
        Assert.DoesNotContain(bound.Document.Nodes, node => node.Id == "voiceLean");
        Assert.Equal(["kick", "voice"], bound.Document.Nodes.Single(node => node.Id == "mix").Inputs.Select(input => input!.From));
    }

    [Fact]
    public void AnOutputWithoutTheGainThatItWasToHaveIsNotWritten()
    {
        var bound = Bound(["kick.wav", "sub.wav"], """{ "outputs": { "mix": null, "parts": null }, "expect": null }""");
        Assert.Equal(["bass", "bassLost"], bound.Document.Outputs.Select(output => output.Id));
        Assert.Contains("output \"mix\": the song does not want it", bound.Dropped.Select(part => part.ToString()));
        Assert.Contains("output \"monitor\": it has the gain of output \"mix\", which is not there", bound.Dropped.Select(part => part.ToString()));
    }

    [Fact]
    public void ASongMaySayThatItHasNoAnchorOrNoSuchStem()
    {
        var bound = Bound(["kick.wav", "sub.wav", "grit.wav"], """{ "anchor": null, "stems": { "grit": null }, "leaveOut": "grit" }""");
        Assert.Null(bound.Document.Anchor);
        Assert.Equal(["kick", "sub"], bound.Document.Stems.Select(stem => stem.Id));
        Assert.Equal("sub", bound.Document.Outputs.Single(output => output.Id == "bass").From.Value);
        Assert.Contains("the anchor: the song says that it has none", bound.Dropped.Select(part => part.ToString()));
        Assert.Contains("stem \"grit\": the song says that it does not have it", bound.Dropped.Select(part => part.ToString()));
    }

    [Fact]
    public void TheGraphSaysWhereItComesFromAndWhatItGoesWithout()
    {
        var bound = Bound(["kick.wav", "sub.wav"]);
        Assert.Equal(("recipe.json", bound.Dropped.Count), (bound.Document.Origin!.Recipe, bound.Document.Origin.Dropped.Count));
        var again = GraphReader.Read("bound.json", Encoding.UTF8.GetBytes(bound.Write()), BuiltInNodes.Catalog, new())!;
        Assert.Equal(bound.Document.Origin.Dropped, again.Origin!.Dropped);
    }

    // Stems that reach a point to be heard.
    private static HashSet<string> Heard(GraphDocument document, string name)
    {
        var stems = new HashSet<string>();
        var waiting = new Stack<string>([name]);
        while (waiting.TryPop(out var next))
        {
            if (document.Stems.Any(stem => stem.Id == next))
                stems.Add(next);
            else
            {
                foreach (var (port, input) in document.Nodes.Single(node => node.Id == next.Split('.')[0]) is var node && node.Type.Ports[^1].IsMany
                    ? node.Inputs.Select(input => (Port.Inputs, input)) : node.Type.Ports.Zip(node.Inputs))
                {
                    if (port.Kind == PortKind.Heard)
                        waiting.Push(input!.From);
                }
            }
        }

        return stems;
    }

    private static GraphDocument Read(string recipe)
    {
        var diagnostics = new DiagnosticList();
        var document = Recipe.Read("recipe.json", Encoding.UTF8.GetBytes(recipe), BuiltInNodes.Catalog, diagnostics)!.Check(diagnostics)!;
        Assert.Empty(diagnostics.InOrder);
        return document;
    }

    private static BoundSong Bound(IReadOnlyList<string> files, string? song = null)
    {
        var (bound, told) = Bind(Rich, files, song);
        Assert.True(bound is not null, told);
        return bound;
    }

    private static (BoundSong? Bound, string Told) Bind(string recipe, IReadOnlyList<string> files, string? song = null)
    {
        var diagnostics = new DiagnosticList();
        var bound = Recipe.Read("recipe.json", Encoding.UTF8.GetBytes(recipe), BuiltInNodes.Catalog, diagnostics)!
            .Bind(new("Harbour Lights", files, song is null ? null : ("song.json", Encoding.UTF8.GetBytes(song))), diagnostics);
        return (bound, string.Join("\n", diagnostics.InOrder));
    }
}
