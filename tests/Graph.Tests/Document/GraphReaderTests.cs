using System.Text;
using CsCheck;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes;
using Xunit;

namespace RenderGraph.Graph.Tests.Document;

public class GraphReaderTests
{
    /// <summary>A text of objects whose keys may stand in any order, with good and bad parts.</summary>
    private static readonly (string Key, object Value)[] Song =
    [
        ("format", "1"), ("title", "\"Harbour Lights\""), ("tempoBpm", "96"), ("tempo", "96"),
        ("stems", new (string, object)[]
        {
            ("kick", new (string, object)[] { ("file", "\"kick.wav\""), ("gainDb", "-1.5"), ("muted", "true") }),
            ("bass", new (string, object)[] { ("file", "\"bass.wav\""), ("startMs", "12"), ("gain", "3") }),
        }),
        ("anchor", new (string, object)[] { ("stem", "\"kick\""), ("frequencyHz", "55") }),
        ("nodes", new (string, object)[]
        {
            ("low", new (string, object)[] { ("type", "\"chain\""), ("in", "\"bass\""), ("steps", "[ { \"type\": \"bell\", \"frequencyHz\": \"anchor\", \"gainDb\": -3 } ]") }),
            ("mix", new (string, object)[] { ("type", "\"mix\""), ("in", "[ \"kick\", { \"from\": \"low\", \"gainDb\": -2 } ]"), ("gainDb", "99") }),
            ("ring", new (string, object)[] { ("type", "\"gain\""), ("in", "\"gnir\""), ("gainDb", "1") }),
            ("gnir", new (string, object)[] { ("type", "\"gain\""), ("in", "\"ring\""), ("gainDb", "1") }),
        }),
        ("outputs", new (string, object)[]
        {
            ("mix", new (string, object)[] { ("in", "\"mix\""), ("file", "\"mix.wav\""), ("encoding", "\"pcm16\"") }),
            ("sub", new (string, object)[] { ("in", "\"lows\""), ("file", "\"sub.wav\"") }),
        }),
    ];

    [Fact]
    public void TheOrderOfKeysChangesNothingButTheOrderOfThings()
    {
        var expected = Summary(Song);
        Assert.Contains("RG203", expected, StringComparison.Ordinal);
        Gen.Int.Sample(seed => Assert.Equal(expected, Summary(Shuffled(Song, new Random(seed)))), iter: 100);
    }

    [Fact]
    public void GivesADocumentDespiteFaults()
    {
        var document = Read("""{ "format": 1, "stems": { "kick": { "file": "kick.wav", "gain": 3 } }, "nodes": { "a": { "type": "nothing" }, "b": { "type": "gain", "in": "a" } } }""", out _)!;
        Assert.Equal("kick", Assert.Single(document.Stems).Id);
        Assert.Equal("b", Assert.Single(document.Nodes).Id);
        Assert.Equal(["a"], document.LeftOut);
        Assert.False(document.IsWhole);
    }

    [Fact]
    public void NamesAllTypesWhereNoneIsNear()
    {
        var diagnostics = new DiagnosticList();
        GraphReader.Read(
            "g.json", """{ "format": 1, "stems": { "s": { "file": "s.wav" } }, "nodes": { "a": { "type": "reverberation", "in": "s" } } }"""u8.ToArray(), StubNodes.Catalog, diagnostics);
        Assert.Equal(
            "g.json:1:81: RG201: node \"a\" asks for type \"reverberation\", which no node has. The types are chain, keyed, sum and tone.",
            Assert.Single(diagnostics.InOrder).ToString());
    }

    [Theory]
    [InlineData("[]")]
    [InlineData("3")]
    [InlineData("{ \"format\": 2, \"anything\": [] }")]
    [InlineData("{ \"format\": 1")]
    public void GivesNoneWithOneFaultWhereTheRulesDoNotReach(string text)
    {
        Assert.Null(Read(text, out var faults));
        Assert.Single(faults);
    }

    [Fact]
    public void ReadsAVeryLongRowOfNodesInReasonableTime()
    {
        var text = new StringBuilder("{ \"format\": 1, \"stems\": { \"n0\": { \"file\": \"a.wav\" } }, \"nodes\": {\n");
        for (var index = 1; index <= 9_999; index++)
            text.Append(System.Globalization.CultureInfo.InvariantCulture, $"\"n{index}\": {{ \"type\": \"gain\", \"in\": \"n{index - 1}\", \"gainDb\": 0 }},\n");
        text.Append("\"ring\": { \"type\": \"mix\", \"in\": [ \"n9999\", \"ring\" ] } }, \"outputs\": { \"o\": { \"in\": \"ring\", \"file\": \"o.wav\" } } }");
        var document = Read(text.ToString(), out _)!;
        var diagnostics = new DiagnosticList();
        GraphValidator.Validate(document, 48000, diagnostics);
        Assert.Equal(DiagnosticCode.Cycle, Assert.Single(diagnostics.InOrder).Code);
    }

    [Fact]
    public void TellsThousandsOfUnknownNamesInReasonableTime()
    {
        // Comparing each with all others would be billions of comparisons.
        var nodes = string.Join(",\n", Enumerable.Range(0, 10_000).Select(index => $"\"node{index}\": {{ \"type\": \"gain\", \"in\": \"nude{index}\", \"gainDb\": 0 }}"));
        var document = Read($"{{ \"format\": 1, \"stems\": {{ \"s\": {{ \"file\": \"s.wav\" }} }}, \"nodes\": {{ {nodes} }}, \"outputs\": {{ \"o\": {{ \"in\": \"s\", \"file\": \"o.wav\" }} }} }}", out _)!;
        var diagnostics = new DiagnosticList();
        GraphValidator.Validate(document, 48000, diagnostics);
        Assert.Equal(10_000, diagnostics.InOrder.Count);
        Assert.All(diagnostics.InOrder, found => Assert.Equal(DiagnosticCode.UnknownName, found.Code));
        Assert.Equal("Did you mean \"node0\"?", diagnostics.InOrder[1].Remedy);
    }

    [Fact]
    public void AGraphMayHaveTenThousandNodesAndAThousandStemsAndOutputsAndNoMore()
    {
        Assert.NotNull(Read(Parts(10_000, 1_000), out var faults));
        Assert.Empty(faults);
        Assert.Null(Read(Parts(10_001, 1_001), out faults));
        Assert.Equal(
            [
                "g.json:1:1: RG108: the graph has 1,001 outputs, but there may be 1,000. Render it as several graphs, one of which takes what the others wrote.",
                "g.json:1:1: RG108: the graph has 1,001 stems, but there may be 1,000. Render it as several graphs, one of which takes what the others wrote.",
                "g.json:1:1: RG108: the graph has 10,001 nodes and steps, but there may be 10,000. Render it as several graphs, one of which takes what the others wrote.",
            ],
            faults);

        // a chain counts with its steps
        static string Parts(int nodes, int files) => $$"""
            { "format": 1,
              "stems": { {{Many(files, index => $"\"s{index}\": {{ \"file\": \"s.wav\" }}")}} },
              "nodes": { {{Many(nodes - 3, index => $"\"m{index}\": {{ \"type\": \"mix\", \"in\": [ \"s0\" ] }}")}},
                "c": { "type": "chain", "in": "s0", "steps": [ { "type": "polarity" }, { "type": "polarity" } ] } },
              "outputs": { {{Many(files, index => $"\"o{index}\": {{ \"in\": \"s0\", \"file\": \"{index}.wav\" }}")}} } }
            """;

        static string Many(int count, Func<int, string> one) => string.Join(", ", Enumerable.Range(0, count).Select(one));
    }

    [Fact]
    public void AListMayHaveTenThousandInputsAndNoMore()
    {
        Assert.NotNull(Read(Inputs(10_000), out var faults));
        Assert.Empty(faults);
        Assert.Null(Read(Inputs(10_001), out faults));
        Assert.Equal(
            "g.json:2:14: RG108: node \"m\" takes 10,001 signals, but a list may have 10,000. Mix them in groups, and the groups in one more mix.", Assert.Single(faults));

        static string Inputs(int count) => $$"""
            { "format": 1, "stems": { "s": { "file": "s.wav" } }, "outputs": { "o": { "in": "m", "file": "o.wav" } },
              "nodes": { "m": { "type": "mix", "in": [ {{string.Join(", ", Enumerable.Repeat("\"s\"", count))}} ] } } }
            """;
    }

    [Fact]
    public void AFileMayHoldTwoHundredThousandValuesAndNoMore()
    {
        Assert.Null(Read("{ \"format\": 1, \"title\": [ " + string.Join(", ", Enumerable.Repeat("1e999", 200_000)) + " ] }", out var faults));
        Assert.EndsWith(
            "RG108: here the file goes past 200,000 values, far more than a graph needs. Name the graph file itself; audio and data belong in files of their own.",
            faults[^1], StringComparison.Ordinal);
    }

    private static GraphDocument? Read(string text, out string[] faults)
    {
        var diagnostics = new DiagnosticList();
        var document = GraphReader.Read("g.json", Encoding.UTF8.GetBytes(text), BuiltInNodes.Catalog, diagnostics);
        faults = [.. diagnostics.InOrder.Select(found => found.ToString())];
        return document;
    }

    /// <summary>The document and all faults, by name and without places.</summary>
    private static string Summary((string Key, object Value)[] song)
    {
        var diagnostics = new DiagnosticList();
        var document = GraphReader.Read("g.json", Encoding.UTF8.GetBytes(Write(song)), BuiltInNodes.Catalog, diagnostics)!;
        GraphValidator.Validate(document, 48000, diagnostics);
        IEnumerable<string> lines =
        [
            $"{document.Title} {document.TempoBpm} {document.Anchor!.Stem.Value} {document.Anchor.FrequencyHz}",
            .. document.Stems.Select(stem => $"{stem.Id} {stem.File.Value} {stem.GainDb} {stem.Muted} {stem.StartMs}").Order(StringComparer.Ordinal),
            .. document.NodesAndSteps.Select(node => $"{node.Id} {node.Type.Name} {string.Join(',', node.Inputs.Select(input => $"{input?.From}{input?.GainDb}"))}").Order(StringComparer.Ordinal),
            .. document.Outputs.Select(output => $"{output.Id} {output.From.Value} {output.File.Value} {output.Encoding}").Order(StringComparer.Ordinal),
            .. diagnostics.InOrder.Select(found => $"{found.Code.Text()} {found.Sentence} {found.Remedy}").Order(StringComparer.Ordinal),
        ];
        return string.Join('\n', lines);
    }

    private static (string, object)[] Shuffled((string Key, object Value)[] members, Random random)
    {
        var copy = members.Select(member => (member.Key, member.Value is (string, object)[] inner ? Shuffled(inner, random) : member.Value)).ToArray();
        random.Shuffle(copy);
        return copy;
    }

    private static string Write((string Key, object Value)[] members) =>
        "{" + string.Join(",\n", members.Select(member => $"\"{member.Key}\": {(member.Value is (string, object)[] inner ? Write(inner) : member.Value)}")) + "}";
}
