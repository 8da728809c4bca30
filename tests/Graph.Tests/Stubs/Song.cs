using System.Globalization;
using System.Text;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes;
using RenderGraph.Testing;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>A graph text whose stems are in memory, read as any other. 8 frames are a millisecond.</summary>
/// <param name="nodes">What stands between the braces of <c>"nodes"</c>.</param>
internal sealed class Song(string nodes)
{
    public const int SampleRateHz = 8000;

    private readonly List<string> _stemTexts = [];
    private readonly List<string> _outputTexts = [];
    private string _anchorText = "", _expectText = "";
    private IReadOnlyList<Hit>? _anchorHits;

    /// <summary>Types to try the engine with, and all that are built in.</summary>
    public static NodeCatalog Catalog { get; } = new(
    [
        LateNode.Type, SumNode.Type, KeyedNode.Type, ListenerNode.Type, ListenerNode.SharingType, LaneNode.Type, LaneNode.KeyedType, LaneListenerNode.Type,
        .. BuiltInNodes.Catalog.Types.Where(type => !type.IsChain),
    ], new([.. BuiltInMeters.Catalog.Types, SumMeter.Type, SumMeter.AnchorType, SumMeter.SourceType, SumMeter.MixType]), BuiltInNodes.Catalog.Treatments);

    /// <summary>By the stem's name.</summary>
    public Dictionary<string, Signal> Stems { get; } = new(StringComparer.Ordinal);

    /// <summary>The graph as a person would have written it.</summary>
    public string Text => $$"""
        {
          "format": 1,
          "stems": { {{string.Join(", ", _stemTexts)}} },{{_anchorText}}
          "nodes": { {{nodes}} },
          "outputs": { {{string.Join(", ", _outputTexts)}} }{{_expectText}}
        }
        """;

    /// <summary>The document, held against every rule.</summary>
    public GraphDocument Document
    {
        get
        {
            var diagnostics = new DiagnosticList();
            var document = GraphReader.Read("song.json", Encoding.UTF8.GetBytes(Text), Catalog, diagnostics)!;
            if (!diagnostics.HasErrors)
                GraphValidator.Validate(document, SampleRateHz, diagnostics);
            if (diagnostics.HasErrors)
                throw new ArgumentException(string.Join('\n', diagnostics.InOrder) + "\n" + Text);
            return _anchorHits is null ? document : document with { Anchor = document.Anchor! with { Measures = new(_anchorHits, null) } };
        }
    }

    public IReadOnlyDictionary<string, StemFormat> Formats =>
        Stems.ToDictionary(stem => stem.Key, stem => new StemFormat(SampleRateHz, stem.Value.Channels, stem.Value.Frames, "in memory"));

    /// <param name="more">Further members of the stem, such as <c>"muted": true</c>.</param>
    public Song Stem(string name, Signal samples, string more = "")
    {
        Stems.Add(name, samples);
        _stemTexts.Add($$"""
            "{{name}}": { "file": "{{name}}.wav"{{After(more)}} }
            """);
        return this;
    }

    /// <param name="gates">What stands between the brackets of <c>"expect"</c>.</param>
    public Song Expect(string gates)
    {
        _expectText = $$""", "expect": [ {{gates}} ]""";
        return this;
    }

    public Song Anchor(string stem)
    {
        _anchorText = $$""" "anchor": { "stem": "{{stem}}" },""";
        return this;
    }

    /// <summary>An anchor of which all is known.</summary>
    public Song Anchor(string stem, double frequencyHz, IReadOnlyList<Hit> hits)
    {
        (_anchorText, _anchorHits) = (string.Create(CultureInfo.InvariantCulture, $" \"anchor\": {{ \"stem\": \"{stem}\", \"frequencyHz\": {frequencyHz} }},"), hits);
        return this;
    }

    /// <summary>An output with the name of what it takes.</summary>
    /// <param name="more">Further members of the output, such as <c>"channels": "mono"</c>.</param>
    public Song Output(string from, string more = "") => Output(from, from.Replace('.', '-'), more);

    public Song Output(string from, string name, string more)
    {
        _outputTexts.Add($$"""
            "{{name}}": { "in": "{{from}}", "file": "{{name}}.wav"{{After(more)}} }
            """);
        return this;
    }

    public RenderPlan Plan() => Planner.Plan(Document, Formats, SampleRateHz);

    /// <summary>The stems where the engine finds them, and outputs once they are committed.</summary>
    public MemoryAudioFiles Files(Action<string, long>? beforeRead = null)
    {
        var files = new MemoryAudioFiles { BeforeRead = beforeRead };
        foreach (var (name, samples) in Stems)
            files.With(name, samples, SampleRateHz);
        return files;
    }

    /// <summary>Renders a plan of this song into these files.</summary>
    public RenderResult RenderInto(
        IAudioFiles files, RenderOptions? options = null, Action<RenderProgress>? progress = null, RenderPlan? plan = null,
        CancellationToken cancellation = default)
    {
        plan ??= Plan();
        var readers = Document.Stems.ToDictionary(stem => stem.Id, stem => files.OpenStem(new(stem.Id, stem.GainDb), (_, _, _, _) => { })!);
        var targets = plan.Writes.ToDictionary(write => write.Output, write => write.Output);
        return Renderer.Render(plan, readers, targets, files, options ?? new() { ThreadCount = 2, BlockFrames = 256 }, progress, cancellation);
    }

    /// <summary>All outputs, by name.</summary>
    public IReadOnlyDictionary<string, Signal> Render(RenderOptions? options = null, RenderPlan? plan = null)
    {
        var files = Files();
        RenderInto(files, options, plan: plan);
        return files.Outputs;
    }

    public override string ToString() =>
        Text + string.Concat(Stems.Select(stem => string.Create(CultureInfo.InvariantCulture, $"\n{stem.Key}: {stem.Value.Channels} x {stem.Value.Frames}")));

    private static string After(string more) => more.Length == 0 ? "" : ", " + more;
}
