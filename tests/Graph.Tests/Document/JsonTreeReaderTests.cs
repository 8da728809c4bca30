using System.Text;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using Xunit;

namespace RenderGraph.Graph.Tests.Document;

public class JsonTreeReaderTests
{
    [Theory]
    [InlineData("{\n  \"a\": 1,\n  \"b\": 2\n}", 3, 3, 3, 8)]
    [InlineData("{\r\n  \"a\": 1,\r\n  \"b\": 2\r\n}", 3, 3, 3, 8)]
    [InlineData("{\r  \"a\": 1,\r  \"b\": 2\r}", 3, 3, 3, 8)]
    [InlineData("{\n\t\"a\": 1,\n\t\t\"b\":\t2\n}", 3, 3, 3, 8)]
    [InlineData("{ \"a\": \"Brücke\", \"b\": 2 }", 1, 18, 1, 23)]
    [InlineData("{ \"a\": \"低音\", \"b\": 2 }", 1, 14, 1, 19)]
    [InlineData("{ \"a\": \"🎵\", \"b\": 2 }", 1, 14, 1, 19)]
    [InlineData("{ /* ü\r\n */ \"a\": 1, // 🎵\r\n\"b\": 2 }", 3, 1, 3, 6)]
    [InlineData("{ \"a\": [ 1, { \"c\": {} } ],\n\"b\"\n:\n2 }", 2, 1, 4, 1)]
    public void TellsWhereAKeyAndItsValueStand(string text, int keyLine, int keyColumn, int valueLine, int valueColumn)
    {
        // Line and column as editors count them: from 1, a column for each UTF-16 unit.
        foreach (var mark in (string[])["", "\uFEFF"])
        {
            var root = Assert.IsType<JsonObject>(Read(mark + text, out var faults));
            Assert.Empty(faults);
            var member = root.Find("b")!;
            Assert.Equal(new(keyLine, keyColumn), member.At);
            Assert.Equal(new(valueLine, valueColumn), member.Value.At);
        }
    }

    [Fact]
    public void ReadsEveryKindOfValueAsWritten()
    {
        var list = Assert.IsType<JsonArray>(Read("""[ "a\n\u00e9\ud83c\udfb5", -1.50e+2, true, false, null, {}, [], ]""", out var faults));
        Assert.Empty(faults);
        Assert.Equal("a\né🎵", Assert.IsType<JsonText>(list.Items[0]).Value);
        Assert.Equal(("-1.50e+2", -150), (((JsonNumber)list.Items[1]).Written, ((JsonNumber)list.Items[1]).Value));
        Assert.True(Assert.IsType<JsonFlag>(list.Items[2]).Value);
        Assert.False(Assert.IsType<JsonFlag>(list.Items[3]).Value);
        Assert.IsType<JsonNull>(list.Items[4]);
        Assert.Empty(Assert.IsType<JsonObject>(list.Items[5]).Members);
        Assert.Empty(Assert.IsType<JsonArray>(list.Items[6]).Items);
    }

    [Fact]
    public void KeepsTheFirstOfTwoEqualKeysAndSaysWhereItStands()
    {
        var root = Assert.IsType<JsonObject>(Read("{ \"q\": 1,\n \"\\u0071\": 2, \"Q\": 3 }", out var faults));
        Assert.Equal(["q", "Q"], root.Members.Select(member => member.Name));
        Assert.Equal(1, ((JsonNumber)root.Members[0].Value).Value);
        Assert.Equal("g.json:2:2: RG102: \"q\" stands twice in one object, first in line 1, column 3. Remove one of the two, or give one another name.", Assert.Single(faults));
    }

    [Theory]
    [InlineData(32, true)]
    [InlineData(33, false)]
    [InlineData(100_000, false)]
    public void ReadsThirtyTwoBracketsInEachOtherAndNoMore(int depth, bool isRead)
    {
        Assert.Equal(isRead, Read(new string('[', depth) + new string(']', depth), out var faults) is not null);
        Assert.Equal(isRead ? [] : ["g.json:1:33: RG108: objects and lists lie more than 32 deep in each other here, and no part of a graph does. Check the brackets before this place."], faults);
    }

    [Fact]
    public void RefusesMoreThanEightMebibytes()
    {
        Assert.NotNull(Read("[1" + new string(' ', (8 << 20) - 3) + "]", out _));
        Assert.Null(Read("[1" + new string(' ', (8 << 20) - 2) + "]", out var faults));
        Assert.Equal("g.json: RG108: the file is longer than 8 MiB, far more than a graph needs. Name the graph file itself; audio and data belong in files of their own.", Assert.Single(faults));
    }

    [Theory]
    [InlineData("{ \"a\": 1 \"b\": 2 }", 1, 10)]
    [InlineData("{ \"a\": 01 }", 1, 8)]
    [InlineData("{ \"a\": 1. }", 1, 8)]
    [InlineData("{ \"a\": 0x10 }", 1, 8)]
    [InlineData("{ \"a\": tru }", 1, 8)]
    [InlineData("{ \"a\": # }", 1, 8)]
    [InlineData("{ \"a\": 1 # }", 1, 10)]
    [InlineData("{ # }", 1, 3)]
    [InlineData("{ \"a\" }", 1, 3)]
    [InlineData("{ \"a\": }", 1, 8)]
    [InlineData("{ \"a\":", 1, 7)]
    [InlineData("{ \"a\": \"", 1, 8)]
    [InlineData("{ \"a\": \"\\u12\" }", 1, 9)]
    [InlineData("{ \"a\": \"\\", 1, 9)]
    [InlineData("{ \"a\": 1, , }", 1, 11)]
    [InlineData("{ \"a\": 1: 2 }", 1, 9)]
    [InlineData("{ , }", 1, 3)]
    [InlineData("[ 1 2 ]", 1, 5)]
    [InlineData("[ 1, , ]", 1, 6)]
    [InlineData("[ 1 }", 1, 5)]
    [InlineData("[ 1, }", 1, 6)]
    [InlineData("{ \"a\": 1 ]", 1, 10)]
    [InlineData("{ \"a\": 1, ]", 1, 11)]
    [InlineData("}", 1, 1)]
    [InlineData("{} }", 1, 4)]
    [InlineData("{}\n// done\n{}", 3, 1)]
    [InlineData("{ /", 1, 3)]
    [InlineData("// only", 1, 1)]
    [InlineData("[ 1 /* ", 1, 5)]
    [InlineData("[ 1, /* ", 1, 6)]
    [InlineData("\"a\nb\"", 1, 1)]
    public void PointsAtTheFaultOfATextThatIsNotJson(string text, int line, int column)
    {
        Assert.Null(Read(text, out var faults));
        Assert.StartsWith($"g.json:{line}:{column}: RG101: ", Assert.Single(faults), StringComparison.Ordinal);
    }

    [Fact]
    public void NeverThrowsAndAlwaysSaysWhyWhateverTheBytes()
    {
        const string Good = """{ "format": 1, "stems": { "kick": { "file": "a\u00e9\n.wav", "gainDb": -1.5e0 } }, /* c */ "outputs": [ true, null, ], } // end""";
        var bytes = Encoding.UTF8.GetBytes(Good);
        // Every byte cut off, and every byte replaced by a few that matter to JSON.
        for (var at = 0; at < bytes.Length; at++)
        {
            Check(bytes.AsMemory(0, at));
            foreach (var replacement in "\"\\{}[],:/*-0.e\n\0\x7f"u8.ToArray().Append((byte)0xC3).Append((byte)0xFF))
            {
                var changed = (byte[])bytes.Clone();
                changed[at] = replacement;
                Check(changed);
            }
        }

        static void Check(ReadOnlyMemory<byte> text)
        {
            var diagnostics = new DiagnosticList();
            var root = JsonTreeReader.Read("g.json", text, diagnostics);
            Assert.True(root is not null || diagnostics.HasErrors);
            Assert.DoesNotContain(diagnostics.InOrder, found => found.Sentence.Length == 0 || found.Sentence.EndsWith('.') || found.Remedy.EndsWith('.'));
        }
    }

    private static JsonValue? Read(string text, out string[] faults)
    {
        var diagnostics = new DiagnosticList();
        var root = JsonTreeReader.Read("g.json", Encoding.UTF8.GetBytes(text), diagnostics);
        faults = [.. diagnostics.InOrder.Select(found => found.ToString())];
        return root;
    }
}
