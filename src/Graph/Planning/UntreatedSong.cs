using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Planning;

/// <summary>
/// What a song is without its treatment: at any point, the sum of the stems that reach it to be heard, each of them once and as it is read. Sums stay where they are, so that without any treatment not a bit
/// differs; the gains on their inputs are treatment. Behind the last sum, what is there to listen through stays. Stems that were dropped belong to the fullest points.
/// </summary>
internal sealed class UntreatedSong
{
    private readonly Dictionary<string, StemEntry> _stems;
    private readonly Dictionary<string, NodeEntry> _nodes;
    private readonly Func<NodeEntry, IEnumerable<string>> _inputsOf;
    private readonly HashSet<string> _steering;
    private readonly List<StemEntry> _dropped;
    private readonly int _fullestCount;

    /// <param name="nodes">All nodes and steps by name.</param>
    /// <param name="inputsOf">The names of what a node takes to be heard; of a chain, its last step.</param>
    public UntreatedSong(
        GraphDocument document, Dictionary<string, StemEntry> stems, Dictionary<string, NodeEntry> nodes, Func<NodeEntry, IEnumerable<string>> inputsOf, HashSet<string> steering)
    {
        (_stems, _nodes, _inputsOf, _steering, _dropped) = (stems, nodes, inputsOf, steering, []);
        var heard = new HashSet<string>(StringComparer.Ordinal);
        foreach (var source in document.Outputs.Select(output => SourceOf(output.From.Value, [])).Distinct(StringComparer.Ordinal))
            _fullestCount = Math.Max(_fullestCount, Walk(source, stem => heard.Add(stem.Id), _ => { }, _ => { }));
        _dropped = [.. document.Stems.Where(stem => !heard.Contains(stem.Id) && (stem.IsUntreated ?? !_steering.Contains(stem.Id))).OrderBy(stem => stem.Id, StringComparer.Ordinal)];
    }

    /// <summary>The last sum that a point comes from, or if there is none the stem.</summary>
    /// <param name="through">Is given what the sum is listened to through, in the order of work.</param>
    public string SourceOf(string name, List<NodeEntry> through)
    {
        while (_nodes.TryGetValue(name, out var node) && !node.Type.IsSum)
        {
            if (node is { Type.IsMonitoring: true, Bypass: false })
                through.Insert(0, node);
            name = _inputsOf(node).First();
        }

        if (_stems.ContainsKey(name))
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
                leave(_nodes[at.Name]);
            }
            else if (seen.Add(at.Name))
            {
                if (_stems.TryGetValue(at.Name, out var found))
                {
                    count++;
                    stem(found);
                    continue;
                }

                var node = _nodes[at.Name];
                if (node.Type.IsSum)
                {
                    enter(node);
                    open.Push((at.Name, true));
                }

                foreach (var input in _inputsOf(node).Reverse())
                    open.Push((input, false));
            }
        }

        return count;
    }
}
