using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Planning;

/// <summary>
/// What an output of kind <see cref="OutputKind.Stems"/> consists of. From its <c>in</c> we go back through whatever treats the sum (master processing) to where only levels lie between us and a mix; the parts are what
/// comes into that mix, mixes within it opened as long as they do nothing but add up and set levels.
/// </summary>
public sealed class StemParts
{
    private readonly GraphPaths _paths;
    private readonly Dictionary<string, string> _partOf = new(StringComparer.Ordinal); // of each signal that comes in
    private readonly Dictionary<string, HashSet<string>> _partsBehind = new(StringComparer.Ordinal); // of each level opened

    private StemParts(GraphPaths paths, string point, IReadOnlyList<string> behind)
    {
        (_paths, Point, Behind) = (paths, point, behind);
        Open();
    }

    /// <summary>The signal that the parts add up to.</summary>
    public string Point { get; }

    /// <summary>What treats that signal on its way to the output's <c>in</c>, the last first, and is in none of the parts: names of nodes and steps.</summary>
    public IReadOnlyList<string> Behind { get; }

    /// <summary>
    /// The names of the parts, in order. What only one stem lies behind has that stem's name, else the node's (of a step the chain's); what has one name is one part.
    /// </summary>
    public IReadOnlyList<string> Names { get; private set; } = [];

    /// <summary>The parts of an output, or null if no mix lies behind what it takes.</summary>
    public static StemParts? Of(GraphDocument document, OutputEntry output) => Of(new GraphPaths(document), output.From.Value);

    /// <summary>What an output's files are called in plans, reports and gates: <c>parts.kick</c>.</summary>
    public static string FileName(OutputEntry output, string part) => $"{output.Id}.{part}";

    internal static StemParts? Of(GraphPaths paths, string from)
    {
        var (point, passed, treated) = (paths.Giver(from), new List<string>(), 0);
        var seen = new HashSet<string>(StringComparer.Ordinal);
        for (var at = point; seen.Add(at) && paths.Node(at) is { } node;)
        {
            if (node.Type.IsSum)
                return IsLevel(node) ? new(paths, point, passed[..treated]) : null;
            if (paths.HeardBy(node).FirstOrDefault() is not { } before)
                return null;
            passed.Add(at);
            at = before;
            if (!IsLevel(node))
                (point, treated) = (at, passed.Count); // levels behind a treatment of the sum are master processing too
        }

        return null;
    }

    /// <summary>The signals coming in that belong to a part.</summary>
    public IEnumerable<string> SignalsOf(string part) => _partOf.Where(signal => signal.Value == part).Select(signal => signal.Key);

    /// <summary>The part that a signal coming in belongs to; null if it is none.</summary>
    internal string? PartOf(string id) => _partOf.GetValueOrDefault(id);

    /// <summary>Whether a part lies behind a level, or is that signal.</summary>
    internal bool Has(string id, string part) => _partOf.TryGetValue(id, out var own) ? own == part : _partsBehind[id].Contains(part);

    /// <summary>It does nothing but add up and set levels, so that it may be worked out for each part alone.</summary>
    private static bool IsLevel(NodeEntry node) => node.Bypass || node.Type.IsLevel;

    /// <summary>Finds the parts. A loop, not a recursion, and each signal once: mixes may be nested thousands deep, and take one signal many times.</summary>
    private void Open()
    {
        var names = new List<string>();
        var open = new Stack<(string Id, Queue<string> Inputs)>();
        Enter(Point);
        while (open.TryPeek(out var top))
        {
            if (top.Inputs.TryDequeue(out var input))
            {
                Enter(input);
                continue;
            }

            open.Pop();
            foreach (var from in _paths.HeardBy(_paths.Node(top.Id)!))
                _partsBehind[top.Id].UnionWith(_partOf.TryGetValue(from, out var part) ? [part] : _partsBehind.GetValueOrDefault(from, []));
        }

        Names = names;

        void Enter(string id)
        {
            if (_partOf.ContainsKey(id) || _partsBehind.ContainsKey(id))
                return;
            if (_paths.Node(id) is { } node && IsLevel(node))
            {
                _partsBehind.Add(id, []);
                open.Push((id, new(_paths.HeardBy(node))));
                return;
            }

            var name = _paths.StemsBehind(id) is [var only] ? only.Id : id.Split('.')[0];
            _partOf.Add(id, name);
            if (!names.Contains(name))
                names.Add(name);
        }
    }
}
