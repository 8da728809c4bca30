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

    /// <summary>Opens every stem and brings them to one rate. Faults are noted where the graph names the file; a stem with a fault is left out.</summary>
    /// <param name="folder">The graph's folder.</param>
    /// <param name="allowOutside">Whether stems may lie outside it.</param>
    public static StemSet Open(GraphDocument document, string folder, IAudioFiles files, DiagnosticList diagnostics, bool allowOutside = false)
    {
        var set = new StemSet();
        try
        {
            foreach (var stem in document.Stems)
            {
                if (OpenOne(document, stem, folder, files, diagnostics, allowOutside) is { } reader)
                    set._readers.Add(stem.Id, reader);
            }

            set.SampleRateHz = document.SampleRateHz?.Value ?? set.CommonRateHz(document);
            if (set.SampleRateHz is { } rateHz)
                set.AgreeOnRate(rateHz, document, files, diagnostics);
        }
        catch
        {
            set.Dispose();
            throw;
        }

        set.Formats = set._readers.ToDictionary(pair => pair.Key, pair => pair.Value.Format, StringComparer.Ordinal);
        return set;
    }

    /// <summary>Closes the stems.</summary>
    public void Dispose()
    {
        foreach (var reader in _readers.Values)
            reader.Dispose();
        _readers.Clear();
    }

    private static IStemReader? OpenOne(GraphDocument document, StemEntry stem, string folder, IAudioFiles files, DiagnosticList diagnostics, bool allowOutside)
    {
        var written = stem.File.Value;
        if (StemPath.Fault(written) is { } fault)
        {
            Add(DiagnosticCode.StemMissing, Severity.Error, fault.Sentence, fault.Remedy);
            return null;
        }

        var path = Path.GetFullPath(Path.Combine(folder, written));
        if (!allowOutside && StemPath.Outside(written, path, folder) is { } outside)
        {
            Add(DiagnosticCode.PathOutside, Severity.Error, outside, "Put the file there, or, if you trust the graph, say --allow-outside");
            return null;
        }

        return files.OpenStem(new(path, stem.GainDb, stem.Channels?.Value), (code, severity, sentence, remedy) => Add(
            code, severity, sentence, code == DiagnosticCode.StemMissing && StemPath.Nearest(written, path) is { } near ? $"Did you mean \"{near}\"?" : remedy));

        void Add(DiagnosticCode code, Severity severity, string sentence, string remedy) =>
            diagnostics.Add(new(code, document.File, code == DiagnosticCode.StemChannels && stem.Channels is { } channels ? channels.At : stem.File.At, $"{Named(stem)}: {sentence}", remedy, severity));
    }

    private static string Named(StemEntry stem) => Shown.WithFile("stem", stem.Id, stem.File.Value);

    /// <summary>The rate that most stems have. Those that ask to be converted do not count, unless all ask.</summary>
    private int? CommonRateHz(GraphDocument document)
    {
        var there = document.Stems.Where(stem => _readers.ContainsKey(stem.Id)).ToList();
        var asked = there.Where(stem => stem.Resample != true).ToList();

        // GroupBy keeps the order written and MaxBy takes the first of equals.
        return (asked.Count > 0 ? asked : there).GroupBy(stem => _readers[stem.Id].Format.SampleRateHz).MaxBy(stems => stems.Count())?.Key;
    }

    /// <summary>Brings every stem to the rate of the render, where that is wanted; never without a word.</summary>
    private void AgreeOnRate(int rateHz, GraphDocument document, IAudioFiles files, DiagnosticList diagnostics)
    {
        var normal = document.Stems.FirstOrDefault(stem => _readers.TryGetValue(stem.Id, out var reader) && reader.Format.SampleRateHz == rateHz);
        foreach (var stem in document.Stems)
        {
            if (!_readers.TryGetValue(stem.Id, out var reader) || reader.Format.SampleRateHz == rateHz)
                continue;
            var has = string.Create(CultureInfo.InvariantCulture, $"{Named(stem)} has {reader.Format.SampleRateHz} Hz");
            if (stem.Resample ?? document.SampleRateHz is not null)
            {
                _readers[stem.Id] = files.ConvertRate(reader, rateHz);
                if (stem.Resample is null)
                {
                    Add(DiagnosticCode.RateConverted, Severity.Warning,
                        string.Create(CultureInfo.InvariantCulture, $"{has} and is converted to the graph's {rateHz} Hz"),
                        string.Create(CultureInfo.InvariantCulture, $"If that is meant, add \"resample\": true to the stem; if not, export it at {rateHz} Hz"));
                }

                continue;
            }

            var wanted = document.SampleRateHz is not null
                ? string.Create(CultureInfo.InvariantCulture, $"the graph asks for {rateHz} Hz, and the stem is not to be converted")
                : string.Create(CultureInfo.InvariantCulture, $"{Named(normal!)} has {rateHz} Hz, and all must have one rate");
            Add(DiagnosticCode.MixedSampleRates, Severity.Error, $"{has}, but {wanted}",
                string.Create(CultureInfo.InvariantCulture, $"Export it at {rateHz} Hz, or let it be converted: {(stem.Resample == false ? "remove" : "add")} \"resample\": {(stem.Resample == false ? "false" : "true")}"));

            void Add(DiagnosticCode code, Severity severity, string sentence, string remedy) =>
                diagnostics.Add(new(code, document.File, stem.File.At, sentence, remedy, severity));
        }
    }
}
