using System.Text;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes;
using Xunit;

namespace RenderGraph.Graph.Tests.Validation;

/// <summary>Stems lined up by the clock of their recorder.</summary>
public sealed class TimeAlignmentTests
{
    [Fact]
    public void TheEarliestIsTheSongsStartAndTheOthersLieAsMuchLaterAsTheyWereRecorded()
    {
        // 00:59:59 and 01:00:00.5 at 48 kHz; 01:00:01 at 44.1 kHz. Frames since midnight, as EBU Tech 3285 counts them.
        var document = Read("""
            "first": { "file": "a.wav" }, "second": { "file": "b.wav", "startMs": -250 }, "third": { "file": "c.wav" }, "free": { "file": "d.wav", "alignBy": "start", "startMs": 10 }
            """);
        var formats = new Dictionary<string, StemFormat>
        {
            ["first"] = Told(48_000, 3_599 * 48_000L), ["second"] = Told(48_000, (3_600 * 48_000L) + 24_000), ["third"] = Told(48_000, 3_601 * 44_100L) with { ConvertedFromHz = 44_100 }, ["free"] = Told(48_000, 5),
        };
        var diagnostics = new DiagnosticList();

        var aligned = TimeAlignment.Of(document, formats, 48_000, diagnostics);

        Assert.Empty(diagnostics.InOrder);
        Assert.Equal([0, (int)(1.25 * 48_000), 2 * 48_000, 480], aligned.Stems.Select(stem => (int)Planner.StartFrame(stem, 48_000)));
    }

    [Fact]
    public void NothingMovesUnlessItIsAskedFor()
    {
        var document = Read("\"first\": { \"file\": \"a.wav\" }") with { AlignBy = AlignBy.Start };
        Assert.Same(document, TimeAlignment.Of(document, new Dictionary<string, StemFormat> { ["first"] = Told(48_000, 123) }, 48_000, new()));
    }

    private static StemFormat Told(int rateHz, long frames) => new(rateHz, 1, 100, "16-bit PCM") { TimeReferenceFrames = frames };

    private static GraphDocument Read(string stems)
    {
        var text = $$"""{ "format": 1, "alignBy": "timeReference", "stems": { {{stems}} }, "outputs": { "mix": { "in": "first", "file": "mix.wav" } } }""";
        return GraphReader.Read("song.json", Encoding.UTF8.GetBytes(text), BuiltInNodes.Catalog, new())!;
    }
}
