using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Graph.Validation;

/// <summary>A graph that is fit to be planned: read, every stem open, every output placed, every rule kept.</summary>
public sealed class LoadedGraph : IDisposable
{
    private LoadedGraph(GraphDocument document, StemSet stems, IReadOnlyDictionary<string, string> targets, int sampleRateHz)
    {
        (Document, Stems, Targets, SampleRateHz) = (document, stems, targets, sampleRateHz);
    }

    /// <summary>The graph; its outputs are those that were asked for.</summary>
    public GraphDocument Document { get; }

    /// <summary>The open stems.</summary>
    public StemSet Stems { get; }

    /// <summary>Full path of each output's file, by the output's name; of stems, which are several, by <see cref="StemParts.FileName"/>.</summary>
    public IReadOnlyDictionary<string, string> Targets { get; }

    /// <summary>Frames a second, of everything.</summary>
    public int SampleRateHz { get; }

    /// <summary>Loads a graph from its file. Writes nothing. The faults of all stages are noted together.</summary>
    /// <param name="graphPath">As the user typed it: diagnostics begin with it.</param>
    /// <param name="outFolder">Where outputs go, or null: beside the graph.</param>
    /// <param name="only">A stem, node or step to be rendered alone, as NAME.only.wav in 24 bits; null for the graph's outputs.</param>
    /// <param name="anchor">Asked for what the graph wants measured.</param>
    /// <param name="partName">Put into every output's file name when only a part is rendered, so that it cannot replace a whole render: mix.wav is mix.PART.wav.</param>
    /// <param name="allowOutside">Whether stems may lie outside the graph's folder, and links lead outputs out of theirs.</param>
    /// <returns>Null if there are errors.</returns>
    public static LoadedGraph? Load(
        string graphPath, string? outFolder, string? only, NodeCatalog catalog, IAudioFiles files, IAnchorMeasuring anchor, DiagnosticList diagnostics, string? partName = null,
        bool allowOutside = false) =>
        ReadDocument(graphPath, catalog, diagnostics) is { } document
            ? Load(document, GraphPlace.OfFile(graphPath), outFolder, only, files, anchor, diagnostics, partName, allowOutside)
            : null;

    /// <summary>The graph of a file, as it is written there; null, after the faults are noted, if it is none.</summary>
    public static GraphDocument? ReadDocument(string graphPath, NodeCatalog catalog, DiagnosticList diagnostics) =>
        GraphFile.Read(graphPath, diagnostics) is { } text ? GraphReader.Read(graphPath, text, catalog, diagnostics) : null;

    /// <summary>Loads a graph that has been read, from a file or put together in memory.</summary>
    /// <param name="place">Where it comes from.</param>
    /// <inheritdoc cref="Load(string, string?, string?, NodeCatalog, IAudioFiles, IAnchorMeasuring, DiagnosticList, string?, bool)"/>
    public static LoadedGraph? Load(
        GraphDocument document, GraphPlace place, string? outFolder, string? only, IAudioFiles files, IAnchorMeasuring anchor, DiagnosticList diagnostics, string? partName = null,
        bool allowOutside = false)
    {
        if (only is not null)
            document = OnlyOutput.Of(document, only, diagnostics);
        if (partName is not null)
            document = document with { Outputs = [.. document.Outputs.Select(output => OfPart(output, partName))] };
        var stems = StemSet.Open(document, place.Folder, files, diagnostics, allowOutside);
        try
        {
            if (stems.SampleRateHz is { } rateHz) document = TimeAlignment.Of(document, stems.Formats, rateHz, diagnostics);
            document = AnchorHearing.WithHitsFile(document, place, stems.SampleRateHz, diagnostics, allowOutside);
            OutputOrigins.Check(document, stems.Formats, diagnostics);
            var targets = OutputTargets.Resolve(document, place, outFolder is null ? place.Folder : Path.GetFullPath(outFolder), diagnostics, allowOutside);
            GraphValidator.Validate(document, stems.SampleRateHz, diagnostics);
            if (!diagnostics.HasErrors && (document.Anchor is { HasHits: true } || document.MeasuresAgainstAnchor))
            {
                document = AnchorHearing.Measure(document, stems.Readers, stems.SampleRateHz!.Value, anchor, diagnostics);
                GraphValidator.Validate(document, stems.SampleRateHz, diagnostics);
            }

            if (!diagnostics.HasErrors)
                document = AnchorHearing.ForComparing(document, stems.Readers, stems.Formats, stems.SampleRateHz!.Value, anchor, diagnostics);
            if (!diagnostics.HasErrors)
                return new(document, stems, targets, stems.SampleRateHz!.Value);
        }
        catch
        {
            stems.Dispose();
            throw;
        }

        stems.Dispose();
        return null;
    }

    /// <summary>A name that is no good stays as written, so that the message shows what stands in the graph.</summary>
    private static OutputEntry OfPart(OutputEntry output, string partName)
    {
        var written = output.File.Value;
        return OutputFileName.Fault(output) is null ? output with { File = output.File with { Value = $"{written[..^4]}.{partName}{written[^4..]}" } } : output;
    }

    /// <summary>Closes the stems.</summary>
    public void Dispose() => Stems.Dispose();
}
