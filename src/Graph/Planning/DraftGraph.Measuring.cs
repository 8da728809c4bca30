using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Measuring;

namespace RenderGraph.Graph.Planning;

/// <content>What is measured, and what meters need to hear of the anchor and of the mix.</content>
internal sealed partial class DraftGraph
{
    private readonly DraftParts _alone;
    private string? _mix;

    private void Measure(MeasuredPoint point, long lengthFrames)
    {
        if (point.Kind == PointKind.Signal)
        {
            var heard = Sourced(point.Name);
            Measure(point, heard, heard, heard.Channels, lengthFrames);
            return;
        }

        // All files of an output, or the one that is named.
        foreach (var (file, written) in _written.Where(file => file.Key == point.Name || file.Key.StartsWith(point.Name + ".", StringComparison.Ordinal)).ToList())
        {
            var output = _document.Outputs.FirstOrDefault(output => output.Id == file);
            Measure(
                point with { Name = file }, point.IsUntreated ? UntreatedOf(output!) : written.From, point.IsUntreated ? Untreated(output!.From.Value) : written.Taken, written.Channels,
                written.LengthFrames);
        }

        DraftStep Sourced(string name) => point.IsUntreated ? Untreated(name) : Resolve(name, asKey: false);
    }

    /// <param name="source">The same before an output's own treatments.</param>
    private void Measure(MeasuredPoint point, DraftStep measured, DraftStep source, int channels, long lengthFrames)
    {
        var ports = MeterSet.PortsOf(point.Meters);
        var anchor = ports.Contains(MeterPort.Anchor) ? AnchorIn(source) : null;
        var mix = !ports.Contains(MeterPort.Mix) ? null : point.IsUntreated ? Untreated(Mix) : Resolve(Mix, asKey: false);
        var part = mix is null ? null : _alone.Of(source, mix);
        var heard = ports.ConvertAll(port => port switch
        {
            MeterPort.Source => source,
            MeterPort.Anchor => anchor ?? Resolve(_document.Anchor!.Stem.Value, asKey: true),
            MeterPort.Mix => mix!,
            MeterPort.PartOfMix => part ?? mix!,
            _ => measured,
        });
        var stretch = point.During is { } during ? string.Create(CultureInfo.InvariantCulture, $" {during.FromSeconds} to {during.ToSeconds} s") : point.AtHits ? " at the hits" : "";
        var name = (point.Kind == PointKind.Signal ? "measure:" : "measure:write:") + point.Name + (point.IsUntreated ? " (untreated)" : "") + stretch;
        Add(new(name, heard, [.. heard.Select(_ => 0)], channels, GivesSignal: false, LaneNode: null, (self, inputs, _, _) =>
            new MeasureStep(name, point, lengthFrames, inputs, channels, self.LatencyFrames)
            {
                Anchor = _document.Anchor is { } told ? new(told.Measures?.Hits?.Select(hit => hit.Frame).ToList(), told.FrequencyHz, IsWithin: anchor is not null) : null,
                IsInMix = part is not null,
            })
        { IsPatient = true });
    }

    /// <summary>The anchor as it is heard in a signal; null if it is not, or only steers.</summary>
    private DraftStep? AnchorIn(DraftStep whole)
    {
        var stem = _paths.Stem(_document.Anchor!.Stem.Value)!;
        return stem.Muted ? null : _alone.Of(Resolve(stem.Id, asKey: false), whole);
    }

    /// <summary>The song: what goes into the output that most stems reach; of several, one that is not made from another of them, then the first written.</summary>
    private string Mix => _mix ??= FindMix();

    private string FindMix()
    {
        var outputs = _document.Outputs.Any(output => output.Kind == OutputKind.Signal) ? _document.Outputs.Where(output => output.Kind == OutputKind.Signal) : _document.Outputs;
        var points = outputs.Select(output => _paths.Giver(output.From.Value)).Distinct(StringComparer.Ordinal).ToDictionary(point => point, point => DraftParts.Behind(Resolve(point, asKey: false)));
        var most = points.Values.Max(Stems);
        var fullest = points.Where(point => Stems(point.Value) == most).Select(point => point.Key).ToList();
        return fullest.First(point => fullest.TrueForAll(other => other == point || !points[point].Contains(Resolve(other, asKey: false))));

        static int Stems(HashSet<DraftStep> steps) => steps.Count(step => step.Inputs.Count == 0);
    }
}
