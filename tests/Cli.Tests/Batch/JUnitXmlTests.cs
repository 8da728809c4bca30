using System.Xml.Linq;
using RenderGraph.Cli.Batch;
using Xunit;

namespace RenderGraph.Cli.Tests.Batch;

public sealed class JUnitXmlTests
{
    [Fact]
    public void AGateIsAFailureABrokenSongAnErrorAndCountsAddUp()
    {
        var root = Write(
            new("fine", SongState.Done, null, null, null, [], [new("plr of mix", "holds", 12, null)], [], []),
            new("loud", SongState.GateFailed, null, null, null, [], [new("truePeakDbtp of mix", "failed", 0.5, "truePeakDbtp of mix is 0.5, but must be at most -1. It is 1.5 dB too high.")], [], []),
            SongResult.Failed("gone", SongState.Unreadable, [new(false, "RG209", "a warning"), new(true, "RG301", "first."), new(true, "RG303", "second.")]));
        Assert.Equal(("5", "1", "1"), Counts(root));
        Assert.Equal([("2", "0", "0"), ("2", "1", "0"), ("1", "0", "1")], root.Elements("testsuite").Select(Counts));
        var failure = Assert.Single(root.Descendants("failure"));
        Assert.Equal("truePeakDbtp of mix", failure.Parent!.Attribute("name")!.Value);
        Assert.StartsWith("truePeakDbtp of mix is 0.5", failure.Attribute("message")!.Value, StringComparison.Ordinal);
        var error = Assert.Single(root.Descendants("error"));
        Assert.Equal(("RG301", "first.", "first.\nsecond."), (error.Attribute("type")!.Value, error.Attribute("message")!.Value, error.Value));
    }

    [Theory]
    [InlineData("a\u0001b", "a\\u0001b")]
    [InlineData("<&\">'", "<&\">'")]
    [InlineData("\uD83C\uDFB5 \uFFFE", "\uD83C\uDFB5 \\ufffe")]
    public void AnyNameIsXml(string name, string expected) =>
        Assert.Equal(expected, Write(SongResult.Failed(name, SongState.Refused, [new(true, "RG101", name)])).Element("testsuite")!.Attribute("name")!.Value);

    [Fact]
    public void HalfACharacterIsXmlToo() => AnyNameIsXml("half " + '\uD83C', "half \uFFFD");

    private static (string, string, string) Counts(XElement element) => (element.Attribute("tests")!.Value, element.Attribute("failures")!.Value, element.Attribute("errors")!.Value);

    private static XElement Write(params SongResult[] songs)
    {
        using var writer = new StringWriter();
        JUnitXml.Write(writer, new("recipe.json", "Recipe", "", null, songs.Length, "", songs));
        Assert.StartsWith("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites ", writer.ToString(), StringComparison.Ordinal);
        return XDocument.Parse(writer.ToString()).Root!;
    }
}
