using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Planning;

/// <content>The song beside itself untreated, with its anchor and its parts.</content>
internal sealed partial class DraftGraph
{
    private void Compare(ComparedSong compared, long lengthFrames)
    {
        var output = _document.Outputs.First(output => output.Id == compared.Output);
        var parts = StemParts.Of(_paths, output.From.Value)!;
        _isAside = compared.MostSeconds is not null;
        List<DraftStep> heard = [Resolve(parts.Point, asKey: false), Untreated(parts.Point)];
        var format = new CompareFormat(_sampleRateHz, [], 0, null, []);
        string? anchorPart = null;
        if (_document.Anchor is not { } anchor)
        {
            format = format with { NoAnchor = "the graph names no anchor" };
        }
        else
        {
            var stem = _paths.Stem(anchor.Stem.Value)!;
            var isIn = !stem.Muted && _paths.StemsBehind(parts.Point).Contains(stem);
            anchorPart = isIn && parts.Names.Contains(stem.Id) ? stem.Id : null;
            if (isIn && anchorPart is null)
            {
                format = format with { NoAnchor = $"\"{stem.Id}\" is treated together with other stems, so it cannot be heard by itself" };
            }
            else
            {
                format = format with { Anchor = new(null, anchor.FrequencyHz ?? compared.FrequencyHz, isIn) };
                var key = Resolve(stem.Id, asKey: true);
                heard.AddRange(isIn ? [Part(parts, stem.Id), UntreatedPart(parts, stem.Id)] : [key, key]);
            }
        }

        var compareParts = new List<ComparedPart>();
        foreach (var part in parts.Names.Where(part => part != anchorPart && parts.SignalsOf(part).Any(signal => _paths.Stem(signal) is null) && StemsOf(parts, part).Count > 0))
            heard.AddRange(Compare(parts, part, compareParts));
        Add(new("compare:" + output.Id, heard, [.. heard.Select(_ => 0)], heard[0].Channels, GivesSignal: false, LaneNode: null, (self, inputs, _, _) =>
            new CompareStep(self.Name, compared, format with { Channels = [.. self.Inputs.Select(input => input.Channels)], Parts = compareParts, IsForVerdict = _isAside }, lengthFrames, inputs, self.Channels, self.LatencyFrames)
            {
                HitFrames = _document.Anchor?.Measures?.Hits is { } hits ? [.. hits.Select(hit => hit.Frame)] : compared.HitFrames,
            })
        {
            IsPatient = true,
        });
    }

    /// <summary>A part after and before. Of one stem that goes straight into the song, the gain on its way is told instead of being worked out.</summary>
    private IEnumerable<DraftStep> Compare(StemParts parts, string part, List<ComparedPart> compared)
    {
        if (parts.SignalsOf(part).ToList() is [var signal] && StemsOf(parts, part) is [var stem])
        {
            var ways = _paths.ConnectionsOf(_paths.Node(parts.Point)!).Where(connection => parts.Has(_paths.Giver(connection.From), part)).ToList();
            if (ways is [var way] && _paths.Giver(way.From) == signal && _paths.Node(parts.Point)!.Type.IsSum)
            {
                compared.Add(new(part, way.GainDb));
                return [Resolve(signal, asKey: false), ReadUntreated(stem)];
            }
        }

        compared.Add(new(part));
        return [Part(parts, part), UntreatedPart(parts, part)];
    }

    /// <summary>The stems of a part as they are read, at the level of the untreated song.</summary>
    private DraftStep UntreatedPart(StemParts parts, string part)
    {
        var through = new List<NodeEntry>();
        var sum = _paths.Node(_untreatedSong.SourceOf(parts.Point, through))!;
        var from = UntreatedNode(sum, [.. StemsOf(parts, part).Select(ReadUntreated)], sum.Bypass, part);
        foreach (var node in through)
            from = UntreatedNode(node, [from], node.Bypass, part);
        return from;
    }

    private List<StemEntry> StemsOf(StemParts parts, string part) =>
        [.. parts.SignalsOf(part).SelectMany(_paths.StemsBehind).Distinct().Where(_untreatedSong.IsPart)];
}
