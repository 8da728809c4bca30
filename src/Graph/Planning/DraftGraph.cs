using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Planning;

/// <summary>
/// Follows every output back to the stems and drafts the steps on the way; what reaches no output is never drafted.
/// A signal is drafted once, unless a muted stem lies behind it: then once as it is heard (the stem silent) and once as it keys (the stem itself).
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
    private readonly Dictionary<string, bool> _hasMutedStem = new(StringComparer.Ordinal);
    private readonly Dictionary<(string Id, bool AsKey), DraftStep> _drafted = [];
    private readonly Dictionary<(DraftStep From, int DelayFrames), DraftStep> _aligned = [];
    private readonly List<DraftStep> _all = [];

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
    }

    /// <summary>All steps that the outputs need, in no particular order.</summary>
    public static IReadOnlyList<DraftStep> Of(
        GraphDocument document, IReadOnlyDictionary<string, StemFormat> stems, int sampleRateHz, long lengthFrames,
        Func<NodeEntry, INode> createNode)
    {
        var graph = new DraftGraph(document, stems, sampleRateHz, createNode);
        foreach (var output in document.Outputs)
            graph.Write(output, lengthFrames);
        return graph._all;
    }

    private void Write(OutputEntry output, long lengthFrames)
    {
        var from = Resolve(output.From.Value, asKey: false);
        var channels = output.Channels ?? from.Channels;
        var length = lengthFrames + Planner.Frames(output.TailMs, _sampleRateHz);
        var name = "write:" + output.Id;
        Add(new(name, [from], channels, from.LatencyFrames, GivesSignal: false, (inputs, _) =>
            new WriteStep(name, output.Id, output.Encoding, length, inputs, channels, from.LatencyFrames)));
    }

    /// <summary>The step that gives the signal of that name.</summary>
    private DraftStep Resolve(string id, bool asKey)
    {
        asKey = asKey && HasMutedStem(id);
        if (_drafted.TryGetValue((id, asKey), out var known))
            return known;
        var draft = _stemById.TryGetValue(id, out var stem) ? Read(stem, asKey)
            : _nodeById[id] is { Type.IsChain: true } chain ? Resolve(LastOf(chain), asKey)
            : Node(_nodeById[id], asKey);
        _drafted.Add((id, asKey), draft);
        return draft;
    }

    private DraftStep Read(StemEntry stem, bool asKey)
    {
        var channels = _stems[stem.Id].Channels;
        var name = Named(stem.Id, asKey);
        return Add(new(name, [], channels, 0, GivesSignal: true, (_, buffer) => new ReadStep(
            name, stem.Id, stem.GainDb, Planner.Frames(stem.StartMs, _sampleRateHz), stem.Muted && !asKey, channels, buffer)));
    }

    private DraftStep Node(NodeEntry entry, bool asKey)
    {
        var node = _createNode(entry);
        var drafts = new List<DraftStep>();
        var gains = new List<double>();
        for (var index = 0; index < entry.Inputs.Count; index++)
        {
            var isKey = entry.Type.Ports[Math.Min(index, entry.Type.Ports.Count - 1)].Kind == PortKind.Key;
            if (isKey && entry.Bypass)
                continue; // it steers nothing
            var from = entry.Inputs[index]?.From ?? _stepBefore[entry.Id];
            drafts.Add(Resolve(from, asKey || isKey));
            gains.Add(entry.Bypass ? 0 : entry.Inputs[index]?.GainDb ?? 0);
        }

        var arrival = drafts.Count == 0 ? 0 : drafts.Max(draft => draft.LatencyFrames);
        var aligned = drafts.ConvertAll(draft => Align(draft, arrival - draft.LatencyFrames));
        var formats = aligned.Select((draft, index) => new InputFormat(draft.Channels, gains[index])).ToList();
        var channels = entry.Type.OutputChannels(formats);
        var own = node.LatencyFrames(_sampleRateHz);
        var name = Named(entry.Id, asKey);
        return Add(new(name, aligned, channels, arrival + own, GivesSignal: true, (inputs, buffer) => new NodeStep(
            name, entry.Id, entry.Type.Name, node, inputs, formats, own, entry.Bypass, channels, arrival + own, buffer)));
    }

    private DraftStep Align(DraftStep from, int delayFrames)
    {
        if (delayFrames == 0)
            return from;
        if (_aligned.TryGetValue((from, delayFrames), out var known))
            return known;
        var name = string.Create(CultureInfo.InvariantCulture, $"{from.Name} + {delayFrames}");
        var latency = from.LatencyFrames + delayFrames;
        var draft = Add(new(name, [from], from.Channels, latency, GivesSignal: true, (inputs, buffer) =>
            new AlignStep(name, inputs, delayFrames, from.Channels, latency, buffer)));
        _aligned.Add((from, delayFrames), draft);
        return draft;
    }

    private DraftStep Add(DraftStep draft)
    {
        _all.Add(draft);
        return draft;
    }

    private static string Named(string id, bool asKey) => asKey ? id + " (key)" : id;

    private static string LastOf(NodeEntry chain) => chain.Steps.Count == 0 ? chain.Inputs[0]!.From : chain.Steps[^1].Id;

    /// <summary>Whether a muted stem lies behind that name, through signals or keys.</summary>
    private bool HasMutedStem(string id)
    {
        if (_stemById.TryGetValue(id, out var stem))
            return stem.Muted;
        if (_hasMutedStem.TryGetValue(id, out var known))
            return known;
        var entry = _nodeById[id];
        var has = entry.Type.IsChain
            ? HasMutedStem(LastOf(entry))
            : entry.Inputs.Any(input => HasMutedStem(input?.From ?? _stepBefore[entry.Id]));
        _hasMutedStem.Add(id, has);
        return has;
    }
}
