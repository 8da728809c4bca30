using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Planning;

/// <summary>
/// What a song is without its treatment: at any point, the sum of the stems that reach it to be heard, each of them once and as it is read. Sums stay where they are, so that without any treatment not a bit
/// differs; the gains on their inputs are treatment. Behind the last sum, what is there to listen through stays. Stems that were dropped belong to the fullest points.
/// </summary>
internal sealed class UntreatedSong
{
    private readonly GraphPaths _paths;
    private readonly IReadOnlySet<string> _steering;
    private readonly List<StemEntry> _dropped;
    private readonly int _fullestCount;

    public UntreatedSong(GraphDocument document, GraphPaths paths, IReadOnlySet<string> steering)
    {
        (_paths, _steering, _dropped) = (paths, steering, []);
        var heard = new HashSet<string>(StringComparer.Ordinal);
        foreach (var source in document.Outputs.Select(output => SourceOf(output.From.Value, [])).Distinct(StringComparer.Ordinal))
            _fullestCount = Math.Max(_fullestCount, Walk(source, stem => heard.Add(stem.Id), _ => { }, _ => { }));
        _dropped = [.. document.Stems.Where(stem => !heard.Contains(stem.Id) && (stem.IsUntreated ?? !_steering.Contains(stem.Id))).OrderBy(stem => stem.Id, StringComparer.Ordinal)];
    }

    /// <summary>The last sum that a point comes from, or if there is none the stem.</summary>
    /// <param name="through">Is given what the sum is listened to through, in the order of work.</param>
    public string SourceOf(string name, List<NodeEntry> through)
    {
        name = _paths.Giver(name);
        while (_paths.Node(name) is { Type.IsSum: false } node)
        {
            if (node is { Type.IsMonitoring: true, Bypass: false })
                through.Insert(0, node);
            name = _paths.HeardBy(node).First();
        }

        if (_paths.Stem(name) is not null)
            through.Clear();
        return name;
    }

    /// <summary>Whether a stem that comes in somewhere is part of the song there.</summary>
    public bool IsPart(StemEntry stem) => stem.IsUntreated ?? !(stem.Muted && _steering.Contains(stem.Id));

    /// <summary>Walks a sum or a stem: every stem and every sum behind it once. A loop, not a recursion: a graph may be thousands of nodes deep.</summary>
    /// <param name="stem">Is given the stems, whether they are part of the song or not; those that were dropped last.</param>
    /// <returns>How many stems come in.</returns>
    public int Walk(string source, Action<StemEntry> stem, Action<NodeEntry> enter, Action<NodeEntry> leave)
    {
        var count = 0;
        var seen = new HashSet<string>(StringComparer.Ordinal);
        var open = new Stack<(string Name, bool IsLeft)>([(source, false)]);
        while (open.TryPop(out var at))
        {
            if (at.IsLeft)
            {
                if (at.Name == source && count >= _fullestCount)
                    _dropped.ForEach(stem);
                leave(_paths.Node(at.Name)!);
            }
            else if (seen.Add(at.Name))
            {
                if (_paths.Stem(at.Name) is { } found)
                {
                    count++;
                    stem(found);
                    continue;
                }

                var node = _paths.Node(at.Name)!;
                if (node.Type.IsSum)
                {
                    enter(node);
                    open.Push((at.Name, true));
                }

                foreach (var input in _paths.HeardBy(node).Reverse())
                    open.Push((input, false));
            }
        }

        return count;
    }
}
