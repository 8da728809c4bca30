using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Parameters;
using RenderGraph.Graph.Rendering;
using RenderGraph.Nodes.Filters;

namespace RenderGraph.Cli.Commands;

/// <summary>An output whose level was set, or taken over from another, and what came of it.</summary>
/// <param name="Output">The output.</param>
/// <param name="GainDb">What it was given.</param>
/// <param name="WantedLufs">The loudness that it was to have; null if it only took over a gain.</param>
/// <param name="Integrated">What it reads; null if only a part was rendered, which need not read what the whole does.</param>
internal sealed record SetLevel(OutputEntry Output, double GainDb, double? WantedLufs, Measurement? Integrated)
{
    // What EBU Tech 3341 lets a meter be off.
    private const double ToleranceLu = 0.1;

    private const string Measure = "integratedLufs";

    /// <summary>Those of a graph, in the order written.</summary>
    public static IReadOnlyList<SetLevel> Of(GraphDocument document, RenderResult result, bool isWhole) =>
    [
        .. from output in document.Outputs
           let level = output.Level ?? document.Outputs.FirstOrDefault(other => other.Id == output.GainOf?.Value)?.Level
           where level is not null
           select new SetLevel(
               output, GainDbOf(output, level, result),
               (output.Level?.Body.Members[0].Value as JsonNumber)?.Value,
               isWhole ? result.Measures.FirstOrDefault(point => point.Point is { Kind: PointKind.Output, During: null, AtHits: false, IsUntreated: false } && point.Point.Name == output.Id)?.Measurements.FirstOrDefault(found => found.Name == Measure) : null),
    ];

    /// <summary>The gain in words.</summary>
    public string Rule
    {
        get
        {
            var gain = GainDb == 0 ? "left at its level" : $"made {Say.Decimal(Math.Abs(GainDb))} dB {(GainDb > 0 ? "louder" : "softer")}";
            return WantedLufs is { } wanted
                ? $"Output \"{Output.Id}\" was heard to its end first, then {gain} to read {ParameterName.Write(wanted)} LUFS."
                : $"Output \"{Output.Id}\" was {gain}, as \"{Output.GainOf?.Value}\" was.";
        }
    }

    /// <summary>The warning if it does not read what was wanted; null if it does.</summary>
    public Diagnostic? Missed(RenderedGraph graph)
    {
        // What a small speaker takes away, the loudness was found without.
        if (WantedLufs is not { } wanted || Integrated is null || Output.Treatments.Any(treatment => treatment.Type == SpeakerNode.Type))
            return null;
        var subject = $"output \"{Output.Id}\" was to read {ParameterName.Write(wanted)} LUFS";
        if (Integrated.Value is not { } reads)
            return Warning($"{subject}, but its loudness cannot be measured: {Integrated.Reason}; it was left at its level", "Remove its loudnessLufs, or see what goes into it");
        if (Math.Abs(reads - wanted) <= ToleranceLu)
            return null;
        var isHeld = reads < wanted && Output.Treatments.Count > 1;
        return Warning(
            $"{subject}, but reads {Say.Decimal(reads)}{(isHeld ? ", since its ceiling holds the peaks down" : "")}",
            isHeld ? $"Ask for {ParameterName.Write(Math.Round(wanted + (wanted - reads), 1))} or so, let peaks reach higher, or take the {Say.Decimal(reads)} LUFS, which sounds more open"
            : "Ask for less: its gain may not be more than 36 dB");

        Diagnostic Warning(string sentence, string remedy) =>
            new(DiagnosticCode.LoudnessMissed, graph.Document.File, Output.At, sentence, remedy, Severity.Warning);
    }

    /// <summary>All files of an output are given the same.</summary>
    private static double GainDbOf(OutputEntry output, NodeEntry level, RenderResult result) =>
        result.Nodes.FirstOrDefault(told => told.Type == level.Type.Name && output.Owns(told.Node[..told.Node.LastIndexOf(' ')]))?.Figures.FirstOrDefault(told => told.Name == "gainDb").Value ?? 0;
}
