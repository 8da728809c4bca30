using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>Every stem of a graph, opened. Owns the readers.</summary>
public sealed class StemSet : IDisposable
{
    private readonly SortedDictionary<string, IStemReader> _readers = new(StringComparer.Ordinal);

    private StemSet()
    {
    }

    /// <summary>The open stems by name.</summary>
    public IReadOnlyDictionary<string, IStemReader> Readers => _readers;

    /// <summary>What is in them, by name.</summary>
    public IReadOnlyDictionary<string, StemFormat> Formats { get; private set; } = new Dictionary<string, StemFormat>();

    /// <summary>The rate of the render: the graph's, else the one that most stems have, else null.</summary>
    public int? SampleRateHz { get; private set; }

    /// <summary>Opens every stem and compares their rates. Faults are noted where the graph names the file; a stem with a fault is left out.</summary>
    /// <param name="folder">The graph's folder.</param>
    public static StemSet Open(GraphDocument document, string folder, IAudioFiles files, DiagnosticList diagnostics)
    {
        var set = new StemSet();
        try
        {
            foreach (var stem in document.Stems)
            {
                if (OpenOne(document, stem, folder, files, diagnostics) is { } reader)
                    set._readers.Add(stem.Id, reader);
            }
        }
        catch
        {
            set.Dispose();
            throw;
        }

        set.Formats = set._readers.ToDictionary(pair => pair.Key, pair => pair.Value.Format, StringComparer.Ordinal);
        set.SampleRateHz = document.SampleRateHz?.Value ?? CommonRateHz(document, set.Formats);
        set.CompareRates(document, diagnostics);
        return set;
    }

    /// <summary>Closes the stems.</summary>
    public void Dispose()
    {
        foreach (var reader in _readers.Values)
            reader.Dispose();
        _readers.Clear();
    }

    private static IStemReader? OpenOne(GraphDocument document, StemEntry stem, string folder, IAudioFiles files, DiagnosticList diagnostics)
    {
        var written = stem.File.Value;
        if (StemPath.Fault(written) is { } fault)
        {
            Add(DiagnosticCode.StemMissing, Severity.Error, fault.Sentence, fault.Remedy);
            return null;
        }

        var path = Path.GetFullPath(Path.Combine(folder, written));
        return files.OpenStem(new(path, stem.GainDb, stem.Channels?.Value), (code, severity, sentence, remedy) => Add(
            code, severity, sentence, code == DiagnosticCode.StemMissing && StemPath.Nearest(written, path) is { } near ? $"Did you mean \"{near}\"?" : remedy));

        void Add(DiagnosticCode code, Severity severity, string sentence, string remedy) =>
            diagnostics.Add(new(code, document.File, code == DiagnosticCode.StemChannels && stem.Channels is { } channels ? channels.At : stem.File.At, $"{Named(stem)}: {sentence}", remedy, severity));
    }

    private static string Named(StemEntry stem) => Shown.WithFile("stem", stem.Id, stem.File.Value);

    private static int? CommonRateHz(GraphDocument document, IReadOnlyDictionary<string, StemFormat> formats)
    {
        // GroupBy keeps the order written and MaxBy takes the first of equals.
        var rates = document.Stems.Where(stem => formats.ContainsKey(stem.Id)).GroupBy(stem => formats[stem.Id].SampleRateHz);
        return rates.MaxBy(stems => stems.Count())?.Key;
    }

    private void CompareRates(GraphDocument document, DiagnosticList diagnostics)
    {
        var normal = document.Stems.FirstOrDefault(stem => Formats.TryGetValue(stem.Id, out var format) && format.SampleRateHz == SampleRateHz);
        foreach (var stem in document.Stems)
        {
            if (!Formats.TryGetValue(stem.Id, out var format) || format.SampleRateHz == SampleRateHz)
                continue;
            var wanted = document.SampleRateHz is not null
                ? string.Create(CultureInfo.InvariantCulture, $"the graph asks for {SampleRateHz} Hz")
                : string.Create(CultureInfo.InvariantCulture, $"{Named(normal!)} has {SampleRateHz} Hz, and all must have one rate");
            diagnostics.Add(new(
                DiagnosticCode.MixedSampleRates, document.File, stem.File.At,
                string.Create(CultureInfo.InvariantCulture, $"{Named(stem)} has {format.SampleRateHz} Hz, but {wanted}"),
                string.Create(CultureInfo.InvariantCulture, $"Export it again at {SampleRateHz} Hz{(document.SampleRateHz is not null ? ", or change sampleRateHz" : "")}")));
        }
    }
}
