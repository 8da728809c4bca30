using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Measuring;

namespace RenderGraph.Graph.Planning;

/// <summary>
/// Follows every output back to the stems and drafts the steps on the way; what reaches no output is never drafted.
/// When it comes, <see cref="PathAlignment"/> decides. A signal is drafted once, unless a muted stem lies behind it: then once as it is heard (the stem silent) and once as it keys (the stem itself).
/// </summary>
internal sealed class DraftGraph
{
    private readonly GraphDocument _document;
    private readonly IReadOnlyDictionary<string, StemFormat> _stems;
    private readonly int _sampleRateHz;
    private readonly Func<NodeEntry, INode> _createNode;
    private readonly Dictionary<string, StemEntry> _stemById;
    private readonly Dictionary<string, NodeEntry> _nodeById = new(StringComparer.Ordinal);
    private readonly Dictionary<string, string> _stepBefore = new(StringComparer.Ordinal);
    private readonly HashSet<string> _behindMutedStem;
    private readonly Dictionary<(string Id, bool AsKey), DraftStep> _drafted = [];
    private readonly List<DraftStep> _all = [];
    private readonly Dictionary<string, DraftStep> _written = new(StringComparer.Ordinal); // what goes into each output
    private readonly Dictionary<string, DraftStep> _untreated = new(StringComparer.Ordinal); // by the point's name
    private readonly Dictionary<string, DraftStep> _untreatedOf = new(StringComparer.Ordinal); // by the output's name
    private readonly HashSet<string> _steering;
    private readonly UntreatedSong _untreatedSong;

    private DraftGraph(
        GraphDocument document, IReadOnlyDictionary<string, StemFormat> stems, int sampleRateHz, Func<NodeEntry, INode> createNode)
    {
        (_document, _stems, _sampleRateHz, _createNode) = (document, stems, sampleRateHz, createNode);
        _stemById = document.Stems.ToDictionary(stem => stem.Id, StringComparer.Ordinal);
        foreach (var node in document.Nodes)
        {
            _nodeById.Add(node.Id, node);
            var before = node.Type.IsChain ? node.Inputs[0]!.From : "";
            foreach (var step in node.Steps)
            {
                _nodeById.Add(step.Id, node.Bypass ? step with { Bypass = true } : step);
                _stepBefore.Add(step.Id, before);
                before = step.Id;
            }
        }

        _behindMutedStem = FedByMutedStems();
        _steering = Steering();
        _untreatedSong = new(document, _stemById, _nodeById, entry => entry.Type.IsChain ? [LastOf(entry)] : HeardBy(entry), _steering);
    }

    /// <summary>All steps that the outputs need, each after all that it takes from.</summary>
    public static IReadOnlyList<DraftStep> Of(
        GraphDocument document, IReadOnlyDictionary<string, StemFormat> stems, int sampleRateHz, long lengthFrames,
        Func<NodeEntry, INode> createNode)
    {
        var graph = new DraftGraph(document, stems, sampleRateHz, createNode);
        foreach (var output in document.Outputs)
            graph.Write(output, lengthFrames);
        foreach (var point in document.Measured)
            graph.Measure(point, lengthFrames);
        return graph._all;
    }

    private void Write(OutputEntry output, long lengthFrames)
    {
        var from = Treated(output);
        _written.Add(output.Id, from);
        var channels = output.Channels ?? from.Channels;
        var length = lengthFrames + Planner.Frames(output.TailMs, _sampleRateHz);
        var name = "write:" + output.Id;
        Add(new(name, [from], [0], channels, GivesSignal: false, LaneNode: null, (self, inputs, _, _) =>
            new WriteStep(name, output.Id, output.Encoding, length, inputs, channels, self.LatencyFrames)
            {
                Cues = output.CuesAtHitsAt is null ? null : CuesAtHits(),
                Origin = output.BextFrom is { } origin ? _stems[origin.Value].Origin : null,
                OriginFrames = output.BextFrom is { } place ? Planner.OriginFrames(_stemById[place.Value], _stems[place.Value], _sampleRateHz) : 0,
            }));
    }

    /// <summary>A marker a hit, numbered from 1.</summary>
    private List<Cue> CuesAtHits() =>
        [.. (_document.Anchor?.Measures?.Hits ?? []).Select((hit, index) => new Cue(hit.Frame, string.Create(CultureInfo.InvariantCulture, $"{_document.Anchor!.Stem.Value} {index + 1}")))];

    /// <summary>What an output takes, before anything is done to it on the way.</summary>
    private DraftStep Taken(OutputEntry output) => output.Kind == OutputKind.Untreated ? Untreated(output.From.Value) : Resolve(output.From.Value, asKey: false);

    /// <summary>What goes into an output's file, before its channels are made those of the file.</summary>
    private DraftStep Treated(OutputEntry output)
    {
        var from = Levelled(Taken(output), output);
        foreach (var treatment in output.Treatments.Where(treatment => treatment != output.Level))
            from = Treat(from, treatment, output);
        return from;
    }

    /// <summary>The untreated counterpart of an output: it has the gain of the output, so that the two can be compared, and no ceiling.</summary>
    private DraftStep UntreatedOf(OutputEntry output)
    {
        if (output.Kind == OutputKind.Untreated)
            return _written[output.Id];
        if (!_untreatedOf.TryGetValue(output.Id, out var from))
            _untreatedOf.Add(output.Id, from = Levelled(Untreated(output.From.Value), output, " (untreated)"));
        return from;
    }

    /// <param name="suffix">After the name of what sets the level, if that is worked out a second time.</param>
    private DraftStep Levelled(DraftStep from, OutputEntry output, string suffix = "")
    {
        var leveller = output.GainOf is { } of ? _document.Outputs.First(other => other.Id == of.Value) : output;
        return leveller.Level is { } level ? Treat(from, level, output, suffix, Taken(leveller)) : from;
    }

    private DraftStep Treat(DraftStep from, NodeEntry treatment, OutputEntry output, string suffix = "", params IEnumerable<DraftStep> heard)
    {
        var node = _createNode(treatment);
        var (name, type, own) = ($"{output.Id} {treatment.Type.Name}{suffix}", treatment.Type.Name, node.LatencyFrames(_sampleRateHz));
        List<DraftStep> inputs = [from, .. heard];
        return Add(new(name, inputs, [.. inputs.Select(_ => own)], from.Channels, GivesSignal: true, LaneNode: null, (self, taken, buffer, group) => new NodeStep(
            name, name, type, node, taken, [.. self.Inputs.Select(input => new InputFormat(input.Channels, 0, input.LatencyFrames))], own,
            IsBypassed: false, group, from.Channels, self.LatencyFrames, buffer) { IsToldElsewhere = suffix.Length > 0 }));
    }

    private void Measure(MeasuredPoint point, long lengthFrames)
    {
        var output = point.Kind == PointKind.Output ? _document.Outputs.First(output => output.Id == point.Name) : null;
        var measured = (output, point.IsUntreated) switch
        {
            (null, false) => Resolve(point.Name, asKey: false),
            (null, true) => Untreated(point.Name),
            (_, false) => _written[output.Id],
            _ => UntreatedOf(output),
        };
        var heard = MeterSet.PortsOf(point.Meters).ConvertAll(port => port == MeterPort.Anchor ? Resolve(_document.Anchor!.Stem.Value, asKey: true) : measured);
        var channels = output?.Channels ?? heard[0].Channels;
        var length = lengthFrames + Planner.Frames(output?.TailMs ?? 0, _sampleRateHz);
        var stretch = point.During is { } during ? string.Create(CultureInfo.InvariantCulture, $" {during.FromSeconds} to {during.ToSeconds} s") : "";
        var name = (output is null ? "measure:" : "measure:write:") + point.Name + (point.IsUntreated ? " (untreated)" : "") + stretch;
        Add(new(name, heard, [.. heard.Select(_ => 0)], channels, GivesSignal: false, LaneNode: null, (self, inputs, _, _) =>
            new MeasureStep(name, point, length, inputs, channels, self.LatencyFrames)) { IsPatient = true });
    }

    /// <summary>What a stem, a node or a step would give if nothing were done to the stems: see <see cref="UntreatedSong"/>.</summary>
    private DraftStep Untreated(string id)
    {
        var through = new List<NodeEntry>();
        var source = _untreatedSong.SourceOf(id, through);
        if (!_untreated.TryGetValue(source, out var from))
            _untreated.Add(source, from = UntreatedSource(source));
        foreach (var node in through)
        {
            if (!_untreated.TryGetValue(node.Id, out var heard))
                _untreated.Add(node.Id, heard = UntreatedNode(node, [from], node.Bypass));
            from = heard;
        }

        return from;
    }

    private DraftStep UntreatedSource(string source)
    {
        var sums = new Stack<List<DraftStep>>([[]]);
        _untreatedSong.Walk(
            source,
            stem =>
            {
                // One that is muted and yet part of the song sounds as it would as a key.
                if (_untreatedSong.IsPart(stem))
                    sums.Peek().Add(Resolve(stem.Id, asKey: stem.Muted));
            },
            _ => sums.Push([]),
            sum =>
            {
                var inputs = sums.Pop();
                if (inputs.Count > 0)
                    sums.Peek().Add(sum.Id == source ? UntreatedNode(sum, inputs, sum.Bypass) : inputs.Count == 1 ? inputs[0] : UntreatedNode(sum, inputs, isBypassed: true));
            });
        return sums.Peek() is [var from] ? from : UntreatedSilence(source);
    }

    /// <summary>A node in the untreated song: no gain on its inputs. It waits for the treated song, so that this one is not held up.</summary>
    private DraftStep UntreatedNode(NodeEntry entry, IReadOnlyList<DraftStep> inputs, bool isBypassed)
    {
        var node = _createNode(entry);
        var (name, own, channels) = (entry.Id + " (untreated)", node.LatencyFrames(_sampleRateHz), inputs.Max(input => input.Channels));
        return Add(new(name, inputs, [.. inputs.Select(_ => own)], channels, GivesSignal: true, isBypassed ? null : node as ILaneNode, (self, taken, buffer, group) => new NodeStep(
            name, entry.Id, entry.Type.Name, node, taken, [.. self.Inputs.Select(input => new InputFormat(input.Channels, 0, input.LatencyFrames))], own,
            isBypassed, group, channels, self.LatencyFrames, buffer)) { IsPatient = true });
    }

    /// <summary>Where nothing of the song is left: a trigger that only steers, say.</summary>
    private DraftStep UntreatedSilence(string source)
    {
        var stems = new List<StemEntry>();
        _untreatedSong.Walk(source, stems.Add, _ => { }, _ => { });
        var (name, channels) = (source + " (untreated)", stems.Max(stem => _stems[stem.Id].Channels));
        return Add(new(name, [], [], channels, GivesSignal: true, LaneNode: null, (self, _, buffer, _) => new ReadStep(
            name, stems[0].Id, 0, 0, IsSilenced: true, channels, self.LatencyFrames, buffer)));
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
        _stemById.ContainsKey(id) ? []
        : _nodeById[id] is { Type.IsChain: true } chain ? [Variant(LastOf(chain), asKey)]
        : ConnectionsOf(_nodeById[id]).Select(connection => Variant(connection.From, asKey || connection.IsKey));

    private DraftStep Draft(string id, bool asKey) =>
        _stemById.TryGetValue(id, out var stem) ? Read(stem, asKey)
        : _nodeById[id] is { Type.IsChain: true } chain ? _drafted[Variant(LastOf(chain), asKey)]
        : Node(_nodeById[id], asKey);

    /// <summary>What a node takes. A bypassed one takes no key, since it steers nothing, and several signals as they are.</summary>
    private IEnumerable<(string From, double GainDb, bool IsKey)> ConnectionsOf(NodeEntry entry)
    {
        var ports = entry.Type.Ports;
        return entry.Inputs
            .Select((input, index) => (
                From: input?.From ?? _stepBefore[entry.Id],
                GainDb: entry.Bypass ? 0 : input?.GainDb ?? 0,
                IsKey: ports[Math.Min(index, ports.Count - 1)].Kind == PortKind.Key))
            .Where(connection => !(connection.IsKey && entry.Bypass));
    }

    private DraftStep Read(StemEntry stem, bool asKey)
    {
        var channels = _stems[stem.Id].Channels;
        var name = Named(stem.Id, asKey);
        return Add(new(name, [], [], channels, GivesSignal: true, LaneNode: null, (self, _, buffer, _) => new ReadStep(
            name, stem.Id, stem.GainDb, Planner.StartFrame(stem, _sampleRateHz), stem.Muted && !asKey, channels, self.LatencyFrames, buffer)));
    }

    private DraftStep Node(NodeEntry entry, bool asKey)
    {
        var node = _createNode(entry);
        var connections = ConnectionsOf(entry).ToList();
        var inputs = connections.ConvertAll(connection => _drafted[Variant(connection.From, asKey || connection.IsKey)]);
        var channels = inputs.Where((_, index) => !connections[index].IsKey).Max(input => input.Channels);
        var own = node.LatencyFrames(_sampleRateHz);
        var behind = connections.ConvertAll(connection => connection.IsKey ? own + node.KeyLeadFrames(_sampleRateHz) : own);
        var name = Named(entry.Id, asKey);
        return Add(new(name, inputs, behind, channels, GivesSignal: true, entry.Bypass ? null : node as ILaneNode, (self, taken, buffer, group) =>
        {
            var formats = self.Inputs.Select((input, index) => new InputFormat(input.Channels, connections[index].GainDb, input.LatencyFrames)).ToList();
            return new NodeStep(name, entry.Id, entry.Type.Name, node, taken, formats, own, entry.Bypass, group, channels, self.LatencyFrames, buffer);
        }));
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
    private string Named(string id, bool asKey) => !asKey ? id : _stemById.ContainsKey(id) && !_steering.Contains(id) ? id + " (untreated)" : id + " (key)";

    private static string LastOf(NodeEntry chain) => chain.Steps.Count == 0 ? chain.Inputs[0]!.From : chain.Steps[^1].Id;

    private IEnumerable<string> HeardBy(NodeEntry entry) => ConnectionsOf(entry).Where(connection => !connection.IsKey).Select(connection => connection.From);

    /// <summary>The names of everything that steers something, the anchor's stem always among them.</summary>
    private HashSet<string> Steering()
    {
        var found = new HashSet<string>(StringComparer.Ordinal);
        var open = new Stack<string>(_nodeById.Values.Where(entry => !entry.Type.IsChain).SelectMany(ConnectionsOf).Where(connection => connection.IsKey).Select(connection => connection.From));
        if (_document.Anchor is { } anchor)
            open.Push(anchor.Stem.Value);
        while (open.TryPop(out var id))
        {
            if (!found.Add(id) || !_nodeById.TryGetValue(id, out var node))
                continue;
            foreach (var from in node.Type.IsChain ? [LastOf(node)] : ConnectionsOf(node).Select(connection => connection.From))
                open.Push(from);
        }

        return found;
    }

    /// <summary>
    /// The names of everything that a muted stem reaches where it would be heard, itself included. What it steers as a key is the same either way.
    /// </summary>
    private HashSet<string> FedByMutedStems()
    {
        var takers = _nodeById.Values
            .SelectMany(entry => entry.Type.IsChain
                ? [(From: LastOf(entry), entry.Id)]
                : ConnectionsOf(entry).Where(connection => !connection.IsKey).Select(connection => (connection.From, entry.Id)))
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
}
