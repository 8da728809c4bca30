using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using Xunit;

namespace RenderGraph.Graph.Tests.Document;

/// <summary>What is wrong with a file of hits is shown in the gallery (Broken).</summary>
public sealed class HitsFileTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("rendergraph-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Theory]
    [InlineData(8000)]
    [InlineData(44100)]
    [InlineData(96000)]
    [InlineData(384000)]
    public void WhatWasWrittenIsReadToTheFrame(int sampleRateHz)
    {
        var random = new Random(7);
        var hits = new List<Hit>();
        for (long frame = 0; hits.Count < 500; frame += 1 + random.Next(sampleRateHz))
            hits.Add(new(frame, Math.Round(100 * (0.01 + (3.9 * random.NextDouble()))) / 100));
        using var written = new StringWriter();
        HitsFile.Write(written, hits, sampleRateHz);
        Assert.Equal(hits, Read(written.ToString(), sampleRateHz));
    }

    [Fact]
    public void APersonMayWriteItByHand()
    {
        const string Text = "\uFEFF# strokes that matter\r\nseconds, strength\r\n\r\n  0.5 , 0.8 \r\n# the fill\r\n1,1\r\n1.25e0,0.255";
        Assert.Equal([new(24000, 0.8), new(48000, 1), new(60000, 0.26)], Read(Text, 48000));
    }

    [Fact]
    public void StrengthsMayBeLeftOutAltogether() => Assert.Equal([new(8000, 1), new(16000, 1)], Read("seconds\n1\n2\n", 8000));

    [Fact]
    public void ASongWithoutHitsHasAHeaderOnly() => Assert.Empty(Read("seconds,strength\n", 48000));

    private IReadOnlyList<Hit> Read(string text, int sampleRateHz)
    {
        var path = Path.Combine(_folder, "hits.csv");
        File.WriteAllText(path, text);
        var diagnostics = new DiagnosticList();
        var hits = HitsFile.Read("hits.csv", path, sampleRateHz, ("song.json", default), diagnostics);
        Assert.Empty(diagnostics.InOrder);
        return hits!;
    }
}
