using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Validation;

/// <summary>No signal comes back to where it has been; a key is a signal too.</summary>
internal static class NoCycleRule
{
    /// <summary>More rings than this are never told at once: breaking one mostly breaks others.</summary>
    private const int RingLimit = 16;

    private const int ShownLimit = 12;

    public static void Check(GraphDocument document, GraphNames names, DiagnosticList diagnostics)
    {
        var takers = Takers(document, names);
        foreach (var ring in Rings(takers).Take(RingLimit))
        {
            var at = takers[ring[^1]].First(taker => taker.Name == ring[0]).At;
            var shown = ring.Count <= ShownLimit
                ? string.Join(" -> ", ring.Append(ring[0]))
                : $"{string.Join(" -> ", ring.Take(ShownLimit - 2))} -> ({ring.Count - ShownLimit + 1} more) -> {ring[^1]} -> {ring[0]}";
            diagnostics.Add(new(
                DiagnosticCode.Cycle, document.File, at, $"signals run in a ring, {shown}, but they must run one way",
                ring.Count == 1 ? $"Let \"{ring[0]}\" take from another signal" : "Let one of these take from a signal outside the ring"));
        }
    }

    /// <summary>Who takes from each name, and where that stands; by name.</summary>
    private static SortedDictionary<string, List<(string Name, TextPosition At)>> Takers(GraphDocument document, GraphNames names)
    {
        var takers = new SortedDictionary<string, List<(string Name, TextPosition At)>>(StringComparer.Ordinal);
        void Add(string from, string to, TextPosition at)
        {
            if (!takers.TryGetValue(from, out var list))
                takers.Add(from, list = []);
            list.Add((to, at));
        }

        foreach (var node in document.Nodes)
        {
            if (node.Steps.Count == 0)
                AddInputs(node, node.Id);
            else
                AddInputs(node, node.Steps[0].Id);
            for (var index = 0; index < node.Steps.Count; index++)
            {
                AddInputs(node.Steps[index], node.Steps[index].Id);
                if (index > 0)
                    Add(node.Steps[index - 1].Id, node.Steps[index].Id, node.Steps[index].At);
            }
        }

        foreach (var list in takers.Values)
            list.Sort((a, b) => string.CompareOrdinal(a.Name, b.Name));
        return takers;

        void AddInputs(NodeEntry node, string to)
        {
            foreach (var input in node.Inputs.OfType<Connection>())
                Add(names.Giver(input.From), to, input.At);
        }
    }

    /// <summary>
    /// Walks depth first by name; each way back to a name on the walk is a ring, turned so that its smallest name is first. Without recursion: a graph may be a very long row.
    /// </summary>
    private static IEnumerable<List<string>> Rings(SortedDictionary<string, List<(string Name, TextPosition At)>> takers)
    {
        var (done, onWalk) = (new HashSet<string>(StringComparer.Ordinal), new Dictionary<string, int>(StringComparer.Ordinal));
        var told = new HashSet<string>(StringComparer.Ordinal);
        foreach (var start in takers.Keys)
        {
            var walk = new List<(string Name, int Next)>();
            Enter(start);
            while (walk.Count > 0)
            {
                var (name, next) = walk[^1];
                if (!takers.TryGetValue(name, out var list) || next == list.Count)
                {
                    walk.RemoveAt(walk.Count - 1);
                    onWalk.Remove(name);
                    done.Add(name);
                    continue;
                }

                walk[^1] = (name, next + 1);
                var taker = list[next].Name;
                if (!onWalk.TryGetValue(taker, out var first))
                {
                    Enter(taker);
                    continue;
                }

                var ring = walk.Skip(first).Select(place => place.Name).ToList();
                var smallest = ring.IndexOf(ring.Min(StringComparer.Ordinal)!);
                ring = [.. ring[smallest..], .. ring[..smallest]];
                if (told.Add(string.Join('>', ring)))
                    yield return ring;
            }

            void Enter(string name)
            {
                if (done.Contains(name))
                    return;
                onWalk.Add(name, walk.Count);
                walk.Add((name, 0));
            }
        }
    }
}
