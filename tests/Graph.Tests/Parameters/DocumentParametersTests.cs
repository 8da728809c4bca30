using System.Text;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Parameters;
using Xunit;

namespace RenderGraph.Graph.Tests.Parameters;

public class DocumentParametersTests
{
    private enum Shape
    {
        Soft,
        VeryHard,
    }

    [Fact]
    public void AnswersWhatIsWritten()
    {
        var source = Source("""{ "type": "tone", "in": "s", "depthDb": 3, "frequencyHz": 80, "slope": 24, "shape": "veryHard", "isOn": true }""", out var told);
        Assert.Equal(3, source.Number("DepthDb", 0, 36, 6, ""));
        Assert.Equal(80, source.FrequencyHz("FrequencyHz", 20, 1000, null, ""));
        Assert.Equal(24, source.OneOf("Slope", [12, 24], 12, ""));
        Assert.Equal(Shape.VeryHard, source.Choice("Shape", Shape.Soft, ""));
        Assert.True(source.Flag("IsOn", false, ""));
        source.ReportKeys();
        Assert.Empty(told());
    }

    [Fact]
    public void AnswersTheDefaultForWhatIsLeftOut()
    {
        var source = Source("""{ "type": "tone", "in": "s" }""", out var told);
        Assert.Equal(6, source.Number("DepthDb", 0, 36, 6, ""));
        Assert.Null(source.OptionalNumber("ThresholdDbfs", -100, 0, ""));
        Assert.Equal(50, source.FrequencyHz("FrequencyHz", 20, 1000, 50, ""));
        Assert.Null(source.OptionalFrequencyHz("ListenHz", 20, 1000, ""));
        Assert.Equal(12, source.OneOf("Slope", [12, 24], 12, ""));
        Assert.Equal(Shape.Soft, source.Choice("Shape", Shape.Soft, ""));
        Assert.True(source.Flag("IsOn", true, ""));
        source.ReportKeys();
        Assert.Empty(told());
    }

    [Fact]
    public void AnswersAnchorWithItsFrequency()
    {
        var source = Source("""{ "type": "tone", "in": "s", "frequencyHz": "anchor", "listenHz": "anchor" }""", out var told, anchor: """{ "stem": "s", "frequencyHz": 55.5 }""");
        Assert.Equal(55.5, source.FrequencyHz("FrequencyHz", 20, 1000, null, ""));
        Assert.Equal(55.5, source.OptionalFrequencyHz("ListenHz", 20, 1000, ""));
        Assert.Empty(told());
    }

    [Theory]
    [InlineData("-9", "node \"a\" asks for depthDb -9, but it must lie between 0 and 36. Did you mean 9?")]
    [InlineData("-90", "node \"a\" asks for depthDb -90, but it must lie between 0 and 36. The least it can be is 0.")]
    [InlineData("36.01", "node \"a\" asks for depthDb 36.01, but it must lie between 0 and 36. The most it can be is 36.")]
    [InlineData("\"9\"", "node \"a\": \"depthDb\" is \"9\", but it must be a number. Write it without quotes: 9.")]
    public void SaysWhichNumberWasProbablyMeant(string written, string message)
    {
        var source = Source($$"""{ "type": "tone", "in": "s", "depthDb": {{written}} }""", out var told);
        Assert.InRange(source.Number("DepthDb", 0, 36, 6, ""), 0, 36);
        Assert.EndsWith(message, Assert.Single(told()), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(21599, true)]
    [InlineData(21600, false)]
    public void KeepsFrequenciesBelowTheirShareOfTheSampleRate(double frequencyHz, bool isGood)
    {
        var source = Source($$"""{ "type": "tone", "in": "s", "frequencyHz": {{ParameterName.Write(frequencyHz)}} }""", out var told);
        source.FrequencyHz("FrequencyHz", 20, 40000, null, "");
        Assert.Equal(isGood, told().Length == 0);
    }

    [Fact]
    public void ADefaultAboveTheShareOfTheSampleRateIsAFaultToo()
    {
        var source = Source("""{ "type": "tone", "in": "s" }""", out var told);
        source.FrequencyHz("FrequencyHz", 20, 40000, 30000, "");
        Assert.Contains("asks for frequencyHz 30000 by default, but at 48000 Hz it must lie below 21600", Assert.Single(told()), StringComparison.Ordinal);
    }

    [Fact]
    public void AFaultyValueIsNotTakenForOneLeftOut()
    {
        var source = Source("""{ "type": "tone", "in": "s", "thresholdDbfs": 5, "listenHz": true }""", out var told);
        Assert.NotNull(source.OptionalNumber("ThresholdDbfs", -100, 0, ""));
        Assert.NotNull(source.OptionalFrequencyHz("ListenHz", 20, 1000, ""));
        source.Refuse("ThresholdDbfs", "nobody wrote this", "So it must not be told");
        Assert.Equal(2, told().Length);
    }

    [Fact]
    public void RefusalsPointAtTheParameterOrAtTheNode()
    {
        var source = Source("""{ "type": "tone", "in": "s", "depthDb": 3 }""", out var told);
        source.Refuse("DepthDb", "these do not go together", "Delete one");
        Assert.Equal("g.json:1:111: RG205: node \"a\": these do not go together. Delete one.", Assert.Single(told()));
        source = Source("""{ "type": "tone", "in": "s" }""", out told);
        source.Refuse("DepthDb", "one is wanted", "Add one");
        Assert.Equal("g.json:1:66: RG205: node \"a\": one is wanted. Add one.", Assert.Single(told()));
    }

    private static DocumentParameters Source(string node, out Func<string[]> told, string? anchor = null)
    {
        var diagnostics = new DiagnosticList();
        var text = $$"""{ "format": 1, "stems": { "s": { "file": "s.wav" } }, "nodes": { "a": {{node}} }{{(anchor is null ? "" : $", \"anchor\": {anchor}")}} }""";
        var document = GraphReader.Read("g.json", Encoding.UTF8.GetBytes(text), StubNodes.Catalog, diagnostics)!;
        told = () => [.. diagnostics.InOrder.Select(found => found.ToString())];
        return new(document.Nodes[0], document, 48000, diagnostics);
    }
}
