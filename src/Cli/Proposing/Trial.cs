using System.Text;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Nodes.Measures.Stems;

namespace RenderGraph.Cli.Proposing;

/// <summary>Renders a proposed graph into a temporary folder and measures what came out: the same engine and the same measures as everywhere. Takes the folder away.</summary>
internal sealed class Trial(CommandSetting setting, string stemsFolder, IReadOnlyList<Hit> hits, double frequencyHz, int threads) : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("rendergraph-");
    private readonly DiskAudioFiles _files = new();

    /// <summary>Renders and measures.</summary>
    /// <exception cref="StemException">A stem failed.</exception>
    /// <exception cref="OutputException">There is no room for the render.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public TrialMeasures Render(ProposedGraph graph) => Render(graph, [], Measure);

    /// <summary>Renders, and measures what the graph can gate.</summary>
    /// <inheritdoc cref="Render(ProposedGraph)"/>
    public ReachedMeasures Reach(ProposedGraph graph)
    {
        var mix = MeasuredPoint.Of(PointKind.Output, ProposedGraph.Mix, default, setting.Catalog.Meters, ["truePeakDbtp", "clearanceDb", "monoLossDb"]);
        var anchor = MeasuredPoint.Of(PointKind.Signal, graph.Stems[graph.AnchorStem].Name, default, setting.Catalog.Meters, ["hitCount"]);
        var untreated = MeasuredPoint.Of(PointKind.Output, ProposedGraph.Mix, default, setting.Catalog.Meters, ["clearanceDb"]) with { IsUntreated = true };
        return Render(graph, [mix, anchor, untreated], (_, result, _) => new ReachedMeasures(
            Of(result, mix, "truePeakDbtp"), Of(result, mix, "clearanceDb"), Of(result, untreated, "clearanceDb"), Of(result, mix, "monoLossDb"), Of(result, anchor, "hitCount")));

        static double? Of(RenderResult result, MeasuredPoint at, string measure) =>
            result.Measures.First(point => point.Point.Name == at.Name && point.Point.IsUntreated == at.IsUntreated).Measurements.First(found => found.Name == measure).Value;
    }

    private T Render<T>(ProposedGraph graph, IReadOnlyList<MeasuredPoint> measured, Func<int, RenderResult, IReadOnlyDictionary<string, string>, T> read)
    {
        var faults = new DiagnosticList();
        var path = Path.Combine(stemsFolder, "trial.json");
        var document = GraphReader.Read(path, Encoding.UTF8.GetBytes((graph with { StemsFolder = "" }).WriteTrial()), setting.Catalog, faults);
        if (document is null || faults.HasErrors)
            throw new InvalidOperationException(faults.InOrder[0].ToString());

        // The graph has them measured; they are known already.
        document = document with { Anchor = document.Anchor! with { Measures = new(hits, null) }, Measured = measured };
        using var stems = StemSet.Open(document, stemsFolder, setting.Files, faults, allowOutside: true);
        GraphValidator.Validate(document, stems.SampleRateHz, faults);
        if (faults.HasErrors)
            throw new InvalidOperationException(faults.InOrder.First(fault => fault.Severity == Severity.Error).ToString());

        var rateHz = stems.SampleRateHz!.Value;
        var targets = document.Outputs.ToDictionary(output => output.Id, output => Path.Combine(_folder.FullName, output.File.Value));
        var result = Renderer.Render(
            Planner.Plan(document, stems.Formats, rateHz), stems.Readers, targets, _files, new RenderOptions { ThreadCount = threads }, progress: null, setting.Cancellation);
        return read(rateHz, result, targets);
    }

    private TrialMeasures Measure(int rateHz, RenderResult result, IReadOnlyDictionary<string, string> targets)
    {
        using var anchor = _files.OpenStem(new(targets[ProposedGraph.TrialAnchor]), (_, _, _, _) => { })!;
        using var rest = _files.OpenStem(new(targets[ProposedGraph.TrialRest]), (_, _, _, _) => { })!;
        using var map = LowEndMap.Measure([new("anchor", anchor), new("rest", rest)], rateHz, threads, setting.Cancellation);
        var collisions = CollisionMap.Measure(map, new AnchorHits(0, [], frequencyHz, hits), threads, setting.Cancellation);
        var songPeak = result.Outputs.Single(output => output.Output == ProposedGraph.Mix).Summary.PeakAmplitude;
        return new(
            collisions.ClearanceDb ?? TrialMeasures.Free, collisions.SumOwnDbfs ?? Decibels.Floor, collisions.SumLowEndDbfs ?? Decibels.Floor, collisions.MixPeakDbfs ?? Decibels.Floor,
            Decibels.FromAmplitude(songPeak), Decibels.FromPower(map.Stems.Sum(stem => Power(stem.LowEnd.SubsonicDbfs) + Power(stem.LowEnd.DcDbfs))));

        static double Power(double? dbfs) => dbfs is { } level ? Decibels.ToAmplitude(2 * level) : 0;
    }

    /// <summary>Takes the temporary folder away.</summary>
    public void Dispose()
    {
        try
        {
            _folder.Delete(recursive: true);
        }
        catch (IOException)
        {
            // A file in it is still looked at by another program; the system clears its temporary folder.
        }
    }
}
