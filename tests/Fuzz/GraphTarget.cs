using System.Text.Json;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Nodes.Measures;
using RenderGraph.Testing;

namespace RenderGraph.Fuzz;

/// <summary>The reader of graphs and all that follows: rules, plan, and, if nothing is wrong, a render.</summary>
internal sealed class GraphTarget : ITarget
{
    private const int StemFrames = 4800;
    private const long MostFrames = 480_000; // of a song that is rendered

    private static readonly JsonDocumentOptions AsStrict = new() { CommentHandling = JsonCommentHandling.Skip, AllowTrailingCommas = true, MaxDepth = 64 };

    private readonly DiskAudioFiles _disk = new();

    public GraphTarget(string folder)
    {
        // The right ones ten times over: what is wrong already is refused whatever is changed.
        var paths = Directory.GetFiles(Path.Combine(folder, "broken")).Order(StringComparer.Ordinal).ToList();
        paths.AddRange(Enumerable.Repeat(Directory.GetFiles(folder).Order(StringComparer.Ordinal), 20).SelectMany(path => path));
        Corpus = paths.ConvertAll(File.ReadAllBytes);
        Names = paths.ConvertAll(path => Path.GetFileName(path));
    }

    public string Name => "graph";

    public bool IsText => true;

    public IReadOnlyList<byte[]> Corpus { get; }

    public IReadOnlyList<string> Names { get; }

    public Outcome Run(string folder, byte[] mutant, int index, bool isOnlyCut, Dice dice)
    {
        var path = Path.Combine(folder, "graph.json");
        MakeStems(folder);
        File.WriteAllBytes(path, mutant);
        var diagnostics = new DiagnosticList();
        var outputs = new MeasuredOutputs(_disk);
        using var loaded = LoadedGraph.Load(path, null, null, BuiltInNodes.Catalog, outputs, new AnchorMeasuring(CancellationToken.None), diagnostics);
        foreach (var found in diagnostics.InOrder)
            Words.Check(found.Sentence, found.Remedy);
        if (loaded is null)
            return diagnostics.HasErrors ? Outcome.Refused : throw new BadOutcomeException("refused without an error");
        if (diagnostics.HasErrors)
            throw new BadOutcomeException("loaded in spite of an error");

        try
        {
            using var strict = JsonDocument.Parse(mutant.AsMemory(mutant.AsSpan().StartsWith("\uFEFF"u8) ? 3 : 0), AsStrict);
        }
        catch (JsonException failure)
        {
            throw new BadOutcomeException($"loaded, though it is no JSON: {failure.Message}");
        }

        var plan = Planner.Plan(loaded.Document, loaded.Stems.Formats, loaded.SampleRateHz);
        if (plan.TotalFrames <= MostFrames && plan.LengthFrames <= MostFrames)
        {
            try
            {
                Renderer.Render(plan, loaded.Stems.Readers, loaded.Targets, outputs, new RenderOptions { ThreadCount = 1, BlockFrames = 1024 }, null, CancellationToken.None);
            }
            catch (OutputException failure)
            {
                Words.Check(failure.Sentence, failure.Remedy);
                return Outcome.Told;
            }
        }

        return diagnostics.InOrder.Count > 0 ? Outcome.Told : Outcome.Taken;
    }

    /// <summary>The stems that the corpus names.</summary>
    private void MakeStems(string folder)
    {
        if (Directory.Exists(Path.Combine(folder, "stems")))
            return;
        Directory.CreateDirectory(Path.Combine(folder, "stems"));
        foreach (var (name, rateHz) in new[]
        {
            ("kick", 48000), ("beater", 48000), ("sub", 48000), ("grit", 48000), ("keys", 48000), ("snare", 48000), ("hats", 48000), ("voice", 48000), ("bass", 48000), ("at-44100", 44100), ("at-8000", 8000),
        })
        {
            var channels = name.Length % 2 == 0 ? 1 : 2;
            using var writer = _disk.CreateOutput(new(name, Path.Combine(folder, "stems", name + ".wav"), rateHz, channels, SampleEncoding.Pcm16, 0, StemFrames));
            writer.Write(Signals.Noise(StemFrames, channels: channels));
            writer.Finish();
            writer.Commit();
        }
    }

    /// <summary>Outputs that are looked at and forgotten.</summary>
    private sealed class MeasuredOutputs(DiskAudioFiles disk) : IAudioFiles
    {
        public IStemReader? OpenStem(StemRequest request, StemReport report) => disk.OpenStem(request, report);

        public IStemReader ConvertRate(IStemReader stem, int sampleRateHz) => disk.ConvertRate(stem, sampleRateHz);

        public IOutputWriter CreateOutput(OutputFormat format) => new Writer(format);

        private sealed class Writer(OutputFormat format) : IOutputWriter
        {
            private long _frames;

            public void Write(Signal signal)
            {
                for (var channel = 0; channel < signal.Channels; channel++)
                {
                    foreach (var sample in signal[channel])
                    {
                        if (!double.IsFinite(sample))
                            throw new BadOutcomeException($"output {format.Name} was given {sample}");
                    }
                }

                _frames += signal.Frames;
            }

            public OutputSummary Finish() =>
                _frames == format.LengthFrames ? new(_frames, 0, 0, "none") : throw new BadOutcomeException($"output {format.Name} has {_frames} frames of {format.LengthFrames}");

            public void Commit()
            {
                // It was only looked at.
            }

            public void Dispose()
            {
                // Nothing is held.
            }
        }
    }
}
