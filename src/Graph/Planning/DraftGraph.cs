using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Planning;

/// <summary>
/// Follows every output back to the stems and drafts the steps on the way; what reaches no output is never drafted.
/// When it comes, <see cref="PathAlignment"/> decides. A signal is drafted once, unless a muted stem lies behind it: then once as it is heard (the stem silent) and once as it keys (the stem itself).
/// </summary>
internal sealed partial class DraftGraph
{
    private readonly GraphDocument _document;
    private readonly IReadOnlyDictionary<string, StemFormat> _stems;
    private readonly int _sampleRateHz;
    private readonly Func<NodeEntry, INode> _createNode;
    private readonly GraphPaths _paths;
    private readonly HashSet<string> _behindMutedStem;
    private readonly Dictionary<(string Id, bool AsKey), DraftStep> _drafted = [];
    private readonly Dictionary<string, DraftStep> _deltas = new(StringComparer.Ordinal); // by the point's name
    private readonly Dictionary<(string Id, string Part), DraftStep> _parts = []; // levels, worked out for one part alone
    private readonly List<DraftStep> _all = [];
    private readonly Dictionary<string, WrittenDraft> _written = new(StringComparer.Ordinal); // each output's files
    private readonly Dictionary<string, DraftStep> _readAside = new(StringComparer.Ordinal); // stems read for a comparison alone
    private bool _isAside;
    private readonly IReadOnlySet<string> _steering;

    private DraftGraph(
        GraphDocument document, IReadOnlyDictionary<string, StemFormat> stems, int sampleRateHz, Func<NodeEntry, INode> createNode)
    {
        (_document, _stems, _sampleRateHz, _createNode) = (document, stems, sampleRateHz, createNode);
        _paths = new(document);
        _behindMutedStem = FedByMutedStems();
        _steering = _paths.Steering();
        _untreatedSong = new(document, _paths, _steering);
        _alone = new(_all, Add);
    }

    /// <summary>All steps that the outputs need, each after all that it takes from.</summary>
    public static IReadOnlyList<DraftStep> Of(
        GraphDocument document, IReadOnlyDictionary<string, StemFormat> stems, int sampleRateHz, long lengthFrames,
        Func<NodeEntry, INode> createNode)
    {
        var graph = new DraftGraph(document, stems, sampleRateHz, createNode);
        if (document.Compared is not { IsAlone: true })
        {
            foreach (var output in document.Outputs)
                graph.Write(output, lengthFrames);
            foreach (var point in document.Measured)
                graph.Measure(point, lengthFrames);
        }

        if (document.Compared is { } compared)
            graph.Compare(compared, lengthFrames);
        return graph._all;
    }

    private void Write(OutputEntry output, long lengthFrames)
    {
        if (output.Kind != OutputKind.Stems)
        {
            Write(output, output.Id, Taken(output), lengthFrames);
            return;
        }

        var parts = StemParts.Of(_paths, output.From.Value)!;
        var drafts = parts.Names.Select(part => (Name: part, Draft: Part(parts, part))).ToList();
        var channels = drafts.Max(part => part.Draft.Channels); // those of the mix
        foreach (var (name, draft) in drafts)
            Write(output with { Channels = output.Channels ?? channels }, StemParts.FileName(output, name), draft, lengthFrames);
    }

    /// <summary>Writes one file of an output.</summary>
    private void Write(OutputEntry output, string file, DraftStep from, long lengthFrames)
    {
        var taken = from;
        from = Treated(output, file, from);
        var channels = output.Channels ?? from.Channels;
        var length = lengthFrames + Planner.Frames(output.TailMs, _sampleRateHz);
        _written.Add(file, new(taken, from, channels, length));
        var name = "write:" + file;
        Add(new(name, [from], [0], channels, GivesSignal: false, LaneNode: null, (self, inputs, _, _) =>
            new WriteStep(name, file, output.Encoding, length, inputs, channels, self.LatencyFrames)
            {
                Cues = output.CuesAtHitsAt is null ? null : CuesAtHits(),
                Origin = output.BextFrom is { } origin ? _stems[origin.Value].Origin : null,
                OriginFrames = output.BextFrom is { } place ? Planner.OriginFrames(_paths.Stem(place.Value)!, _stems[place.Value], _sampleRateHz) : 0,
            }));
    }

    /// <summary>What a mix would give of one part alone: the mixes and levels there are, each taking only what that part lies behind. A loop, not a recursion.</summary>
    private DraftStep Part(StemParts parts, string part)
    {
        var open = new Stack<string>([parts.Point]);
        while (open.TryPeek(out var id))
        {
            if (Known(id) is not null)
            {
                open.Pop();
                continue;
            }

            var connections = _paths.ConnectionsOf(_paths.Node(id)!).Where(connection => parts.Has(_paths.Giver(connection.From), part)).ToList();
            var missing = connections.Select(connection => _paths.Giver(connection.From)).Where(from => Known(from) is null).ToList();
            if (missing.Count > 0)
                missing.ForEach(open.Push);
            else
                _parts.Add((id, part), Node(_paths.Node(id)!, $"{id} of {part}", connections, connections.ConvertAll(connection => Known(_paths.Giver(connection.From))!)));
        }

        return Known(parts.Point)!;

        DraftStep? Known(string id) => parts.PartOf(id) is not null ? Resolve(id, asKey: false) : _parts.GetValueOrDefault((id, part));
    }

    /// <summary>A marker a hit, numbered from 1.</summary>
    private List<Cue> CuesAtHits() =>
        [.. (_document.Anchor?.Measures?.Hits ?? []).Select((hit, index) => new Cue(hit.Frame, string.Create(CultureInfo.InvariantCulture, $"{_document.Anchor!.Stem.Value} {index + 1}")))];

    /// <summary>What an output takes, before anything is done to it on the way.</summary>
    private DraftStep Taken(OutputEntry output) => output.Kind switch
    {
        OutputKind.Untreated => Untreated(output.From.Value),
        OutputKind.Delta => Difference(DeltaPoint.Of(_paths, output.From.Value)!),
        _ => Resolve(output.From.Value, asKey: false),
    };

    private DraftStep Difference(DeltaPoint point)
    {
        if (_deltas.TryGetValue(point.After, out var known))
            return known;
        List<DraftStep> inputs = [point.Before is { } before ? Resolve(before, asKey: false) : Untreated(point.After), Resolve(point.After, asKey: false)];
        var (name, channels) = (point.After + " (delta)", inputs.Max(input => input.Channels));
        var draft = Add(new(name, inputs, [0, 0], channels, GivesSignal: true, LaneNode: null, (self, taken, buffer, _) =>
            new DifferenceStep(name, taken, channels, self.LatencyFrames, buffer)));
        _deltas.Add(point.After, draft);
        return draft;
    }

    /// <summary>What goes into an output's file, before its channels are made those of the file.</summary>
    private DraftStep Treated(OutputEntry output, string file, DraftStep from)
    {
        from = Levelled(from, output, file);
        foreach (var treatment in output.Treatments.Where(treatment => treatment != output.Level))
            from = Treat(from, treatment, file);
        return from;
    }

    /// <param name="suffix">After the name of what sets the level, if that is worked out a second time.</param>
    private DraftStep Levelled(DraftStep from, OutputEntry output, string file, string suffix = "")
    {
        var leveller = output.GainOf is { } of ? _document.Outputs.First(other => other.Id == of.Value) : output;
        return leveller.Level is { } level ? Treat(from, level, file, suffix, Taken(leveller)) : from;
    }

    private DraftStep Treat(DraftStep from, NodeEntry treatment, string file, string suffix = "", params IEnumerable<DraftStep> heard)
    {
        var node = _createNode(treatment);
        var (name, type, own) = ($"{file} {treatment.Type.Name}{suffix}", treatment.Type.Name, node.LatencyFrames(_sampleRateHz));
        List<DraftStep> inputs = [from, .. heard];
        return Add(new(name, inputs, [.. inputs.Select(_ => own)], from.Channels, GivesSignal: true, LaneNode: null, (self, taken, buffer, group) => new NodeStep(
            name, name, type, node, taken, [.. self.Inputs.Select(input => new InputFormat(input.Channels, 0, input.LatencyFrames))], own,
            IsBypassed: false, group, from.Channels, self.LatencyFrames, buffer) { IsToldElsewhere = suffix.Length > 0 }));
    }

    /// <summary>The step that gives the signal of that name. A loop, not a recursion: a graph may be thousands of nodes deep.</summary>
    private DraftStep Resolve(string id, bool asKey)
    {
        var open = new Stack<(string Id, bool AsKey)>([Variant(id, asKey)]);
        while (open.TryPeek(out var want))
        {
            var missing = SourcesOf(want.Id, want.AsKey).Where(source => !_drafted.ContainsKey(source)).ToList();
            if (missing.Count > 0)
            {
                missing.ForEach(open.Push);
                continue;
            }

            open.Pop();
            if (!_drafted.ContainsKey(want))
                _drafted.Add(want, Draft(want.Id, want.AsKey));
        }

        return _drafted[Variant(id, asKey)];
    }

    /// <summary>A signal is drafted for keys apart only if a muted stem makes a difference.</summary>
    private (string Id, bool AsKey) Variant(string id, bool asKey) => (id, asKey && _behindMutedStem.Contains(id));

    private IEnumerable<(string Id, bool AsKey)> SourcesOf(string id, bool asKey) =>
        _paths.Node(id) is not { } node ? []
        : node.Type.IsChain ? [Variant(GraphPaths.LastOf(node), asKey)]
        : _paths.ConnectionsOf(node).Select(connection => Variant(connection.From, asKey || connection.IsKey));

    private DraftStep Draft(string id, bool asKey) =>
        _paths.Node(id) is not { } node ? Read(_paths.Stem(id)!, asKey)
        : node.Type.IsChain ? _drafted[Variant(GraphPaths.LastOf(node), asKey)]
        : Node(node, asKey);

    private DraftStep Read(StemEntry stem, bool asKey) => Read(stem, Named(stem.Id, asKey), stem.Muted && !asKey);

    private DraftStep Read(StemEntry stem, string name, bool isSilenced)
    {
        var channels = _stems[stem.Id].Channels;
        return Add(new(name, [], [], channels, GivesSignal: true, LaneNode: null, (self, _, buffer, _) => new ReadStep(
            name, stem.Id, stem.GainDb, Planner.StartFrame(stem, _sampleRateHz), isSilenced, channels, self.LatencyFrames, buffer)));
    }

    private DraftStep Node(NodeEntry entry, bool asKey)
    {
        var connections = _paths.ConnectionsOf(entry).ToList();
        return Node(entry, Named(entry.Id, asKey), connections, connections.ConvertAll(connection => _drafted[Variant(connection.From, asKey || connection.IsKey)]));
    }

    /// <summary>A node that takes these of its connections.</summary>
    private DraftStep Node(NodeEntry entry, string name, List<(string From, double GainDb, bool IsKey)> connections, List<DraftStep> inputs)
    {
        var node = _createNode(entry);
        var channels = inputs.Where((_, index) => !connections[index].IsKey).Max(input => input.Channels);
        var latency = node.LatencyFrames(_sampleRateHz);
        var behind = connections.ConvertAll(connection => connection.IsKey ? latency + node.KeyLeadFrames(_sampleRateHz) : latency);
        return Add(Draft(name, node, isPart: false, [.. Enumerable.Range(0, connections.Count)], inputs) with
        {
            Part = new([.. connections.Select(connection => !connection.IsKey)], (part, kept, left) => Draft(part, _createNode(entry), isPart: true, kept, left)),
        });

        DraftStep Draft(string step, INode own, bool isPart, IReadOnlyList<int> kept, IReadOnlyList<DraftStep> taken) =>
            new(step, taken, [.. kept.Select(index => behind[index])], channels, GivesSignal: true, entry.Bypass ? null : own as ILaneNode, (self, indices, buffer, group) =>
            {
                var formats = self.Inputs.Select((input, index) => new InputFormat(input.Channels, connections[kept[index]].GainDb, input.LatencyFrames)).ToList();
                return new NodeStep(step, entry.Id, entry.Type.Name, own, indices, formats, latency, entry.Bypass, group, channels, self.LatencyFrames, buffer) { IsToldElsewhere = isPart };
            });
    }

    private DraftStep Add(DraftStep draft)
    {
        // Nothing that is treated takes from the untreated song: what does waits as it does.
        if (draft.Inputs.Any(input => input.IsPatient))
            draft = draft with { IsPatient = true };
        _all.Add(draft);
        return draft;
    }

    /// <summary>A muted stem that steers nothing is itself only in the untreated song.</summary>
    private string Named(string id, bool asKey) => !asKey ? id : _paths.Stem(id) is not null && !_steering.Contains(id) ? id + " (untreated)" : id + " (key)";

    /// <summary>
    /// The names of everything that a muted stem reaches where it would be heard, itself included. What it steers as a key is the same either way.
    /// </summary>
    private HashSet<string> FedByMutedStems()
    {
        var takers = _paths.Nodes
            .SelectMany(entry => entry.Type.IsChain
                ? [(From: GraphPaths.LastOf(entry), entry.Id)]
                : _paths.ConnectionsOf(entry).Where(connection => !connection.IsKey).Select(connection => (connection.From, entry.Id)))
            .ToLookup(pair => pair.From, pair => pair.Id, StringComparer.Ordinal);
        var found = new HashSet<string>(StringComparer.Ordinal);
        var open = new Stack<string>(_document.Stems.Where(stem => stem.Muted).Select(stem => stem.Id));
        while (open.TryPop(out var id))
        {
            if (found.Add(id))
            {
                foreach (var taker in takers[id])
                    open.Push(taker);
            }
        }

        return found;
    }

    /// <param name="Taken">What goes into the output.</param>
    /// <param name="From">What goes into the file, before its channels are made those of the file.</param>
    /// <param name="Channels">Of the file.</param>
    private sealed record WrittenDraft(DraftStep Taken, DraftStep From, int Channels, long LengthFrames);
}
