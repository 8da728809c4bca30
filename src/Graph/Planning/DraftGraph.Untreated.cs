using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Planning;

/// <content>The untreated song: what points and outputs would give if nothing were done to the stems.</content>
internal sealed partial class DraftGraph
{
    private readonly Dictionary<string, DraftStep> _untreated = new(StringComparer.Ordinal); // by the point's name
    private readonly Dictionary<string, DraftStep> _untreatedOf = new(StringComparer.Ordinal); // by the output's name
    private readonly UntreatedSong _untreatedSong;

    /// <summary>The untreated counterpart of an output: it has the gain of the output, so that the two can be compared, and no ceiling.</summary>
    private DraftStep UntreatedOf(OutputEntry output)
    {
        if (output.Kind == OutputKind.Untreated)
            return _written[output.Id].From;
        if (!_untreatedOf.TryGetValue(output.Id, out var from))
            _untreatedOf.Add(output.Id, from = Levelled(Untreated(output.From.Value), output, output.Id, " (untreated)"));
        return from;
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

    /// <summary>
    /// A stem as it is read. Where only stretches are compared it is read once more for that: the treated song is then planned as if nothing were compared, and nothing waits in its planes.
    /// </summary>
    private DraftStep ReadUntreated(StemEntry stem)
    {
        if (!_isAside)
            return Resolve(stem.Id, asKey: stem.Muted);
        if (!_readAside.TryGetValue(stem.Id, out var read))
            _readAside.Add(stem.Id, read = Read(stem, stem.Id + " (compared)", isSilenced: false));
        return read;
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
                    sums.Peek().Add(ReadUntreated(stem));
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
    /// <param name="part">The part that it is worked out for alone, or null.</param>
    private DraftStep UntreatedNode(NodeEntry entry, IReadOnlyList<DraftStep> inputs, bool isBypassed, string? part = null)
    {
        var channels = inputs.Max(input => input.Channels);
        return Add(Draft(entry.Id + (part is null ? "" : $" of {part}") + " (untreated)", isPart: part is not null, inputs) with
        {
            Part = new([.. inputs.Select(_ => true)], (name, _, left) => Draft(name, isPart: true, left)),
        });

        DraftStep Draft(string name, bool isPart, IReadOnlyList<DraftStep> taken)
        {
            var node = _createNode(entry);
            var own = node.LatencyFrames(_sampleRateHz);
            return new(name, taken, [.. taken.Select(_ => own)], channels, GivesSignal: true, isBypassed ? null : node as ILaneNode, (self, indices, buffer, group) => new NodeStep(
                name, entry.Id, entry.Type.Name, node, indices, [.. self.Inputs.Select(input => new InputFormat(input.Channels, 0, input.LatencyFrames))], own,
                isBypassed, group, channels, self.LatencyFrames, buffer) { IsToldElsewhere = isPart }) { IsPatient = true };
        }
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
}
