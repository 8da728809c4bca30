using System.Text;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Validation;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Validation;

/// <summary>Which rate a render has, and what is converted to it.</summary>
public sealed class StemSetTests
{
    private const string ByTheGraph = "\"sampleRateHz\": 96000,";

    [Theory]
    [InlineData("", "", "", "", 48000, "RG210")] // two have 48 kHz, one 44.1
    [InlineData("", "", "", "true", 48000, "")]
    [InlineData("", "true", "true", "", 44100, "")] // who asks to be converted has no say
    [InlineData("", "true", "true", "true", 48000, "")] // unless all ask: then the most have it
    [InlineData("", "", "", "false", 48000, "RG210")]
    [InlineData(ByTheGraph, "true", "true", "true", 96000, "")]
    [InlineData(ByTheGraph, "", "true", "", 96000, "RG211 RG211")]
    [InlineData(ByTheGraph, "true", "true", "false", 96000, "RG210")]
    public void StemsMeetAtOneRateAndNoneIsConvertedWithoutAWord(string graph, string first, string second, string third, int rateHz, string codes)
    {
        var files = new MemoryAudioFiles()
            .With(Path.GetFullPath("/a.wav"), Signal.Allocate(1, 4800)).With(Path.GetFullPath("/b.wav"), Signal.Allocate(2, 4800))
            .With(Path.GetFullPath("/c.wav"), Signal.Allocate(1, 4410), 44100);
        var diagnostics = new DiagnosticList();
        var document = Read($$"""
            {
              "format": 1, {{graph}}
              "stems": { "a": { "file": "a.wav"{{Resample(first)}} }, "b": { "file": "b.wav"{{Resample(second)}} }, "c": { "file": "c.wav"{{Resample(third)}} } },
              "outputs": {}
            }
            """);
        using (var stems = StemSet.Open(document, Path.GetFullPath("/"), files, diagnostics))
        {
            Assert.Equal(rateHz, stems.SampleRateHz);
            Assert.Equal(codes, string.Join(" ", diagnostics.InOrder.Select(found => found.Code.Text())));
            Assert.Equal(diagnostics.InOrder.Any(found => found.Code == DiagnosticCode.MixedSampleRates), diagnostics.HasErrors);
            foreach (var (name, format) in stems.Formats)
            {
                var ownHz = name == "c" ? 44100 : 48000;
                Assert.Equal(format.SampleRateHz == ownHz ? null : ownHz, format.ConvertedFromHz);
                Assert.True(format.SampleRateHz == rateHz || diagnostics.HasErrors);
                Assert.Equal(format.SampleRateHz / 10, format.LengthFrames); // each is a tenth of a second
            }
        }

        Assert.Equal(0, files.OpenStems);
    }

    [Fact]
    public void AStemThatHasTheRateAlreadyIsReadAsItIs()
    {
        var noise = Signals.Noise(500);
        var files = new MemoryAudioFiles().With(Path.GetFullPath("/a.wav"), noise);
        var document = Read("""{ "format": 1, "sampleRateHz": 48000, "stems": { "a": { "file": "a.wav", "resample": true } }, "outputs": {} }""");
        using var stems = StemSet.Open(document, Path.GetFullPath("/"), files, new DiagnosticList());
        var read = Signal.Allocate(1, 500);
        stems.Readers["a"].Read(0, read);
        Assert.True(Signals.AreSameBits(noise, read));
        Assert.Null(stems.Formats["a"].ConvertedFromHz);
    }

    private static GraphDocument Read(string text) => GraphReader.Read("song.json", Encoding.UTF8.GetBytes(text), StubNodes.Catalog, new DiagnosticList())!;

    private static string Resample(string value) => value.Length == 0 ? "" : $", \"resample\": {value}";
}
