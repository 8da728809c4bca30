using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using static System.FormattableString;

namespace RenderGraph.Graph.Binding;

/// <summary>Makes a graph of a recipe and the files that its stems took: patterns become paths, many files become stems and their sum, and what a song does not have goes, with all that hangs upon it.</summary>
/// <param name="recipe">Without faults.</param>
/// <param name="overrides">The recipe's tree as it is for this song.</param>
/// <param name="prefix">Put before every path: the way from the graph's folder to the song's; empty if they are one.</param>
internal sealed class BoundTree(GraphDocument recipe, SongOverrides overrides, FileAssignment assignment, NodeCatalog catalog, string prefix)
{
    private readonly List<BoundFile> _files = [];
    private readonly List<DroppedPart> _dropped = [];

    /// <summary>What a name in the recipe means in the graph: another name, or null if there is nothing left of it. Names that are not here mean themselves.</summary>
    private readonly Dictionary<string, string?> _meaning = new(StringComparer.Ordinal);

    /// <summary>Names of nodes and steps whose treatment is gone, though a signal may pass: nothing is measured there.</summary>
    private readonly HashSet<string> _untreated = new(StringComparer.Ordinal);

    private readonly Dictionary<string, StemEntry> _stems = recipe.Stems.ToDictionary(stem => stem.Id, StringComparer.Ordinal);
    private readonly HashSet<string> _goneOutputs = new(StringComparer.Ordinal);
    private bool _hasAnchor = recipe.Anchor is not null;

    /// <summary>Which file became which stem.</summary>
    public IReadOnlyList<BoundFile> Files => _files;

    /// <summary>What the song goes without, and why.</summary>
    public IReadOnlyList<DroppedPart> Dropped => _dropped;

    /// <summary>The graph's tree.</summary>
    /// <param name="title">The song's name, unless it says another.</param>
    public JsonObject Make(string title, DiagnosticList diagnostics)
    {
        var root = overrides.Tree;
        var sums = new List<JsonMember>();
        var stems = Stems(Section(root, "stems"), sums);
        DropAnchor(diagnostics);
        stems = stems.ConvertAll(stem => stem with { Value = Measured($"stem \"{stem.Name}\"", (JsonObject)stem.Value) });
        sums = sums.ConvertAll(sum => sum with { Value = Measured($"stem \"{sum.Name}\"", (JsonObject)sum.Value) });
        var nodes = Nodes(Section(root, "nodes"));
        var outputs = Outputs(Section(root, "outputs"), diagnostics);
        var members = new List<JsonMember>();
        var at = root.At;
        foreach (var member in root.Members)
        {
            switch (member.Name)
            {
                case "title" or "nodes" or RecipeKeys.LeaveOut:
                    break;
                case "stems":
                    members.Add(With(member, stems));
                    break;
                case "anchor":
                    if (_hasAnchor) members.Add(Anchor(member));
                    break;
                case "outputs":
                    members.Add(With(member, outputs));
                    break;
                case "expect":
                    if (Gates(member) is { } gates) members.Add(gates);
                    break;
                default:
                    members.Add(member);
                    break;
            }
        }

        if (nodes.Count + sums.Count > 0)
        {
            var written = root.Find("nodes");
            var section = new JsonMember("nodes", written?.At ?? at, new JsonObject(written?.Value.At ?? at, [.. sums, .. nodes]));
            members.Insert(members.FindIndex(member => member.Name == "outputs") is var place and >= 0 ? place : members.Count, section);
        }

        members.InsertRange(
            members.FindIndex(member => member.Name == "format") + 1,
            [new("title", overrides.Title?.At ?? at, overrides.Title ?? new JsonText(at, title)), new("boundFrom", at, Origin(at))]);
        return root with { Members = members };
    }

    private JsonObject Origin(TextPosition at)
    {
        var name = new JsonMember("recipe", at, new JsonText(at, Path.GetFileName(recipe.File)));
        return new(at, _dropped.Count == 0
            ? [name]
            : [name, new("dropped", at, new JsonArray(at, [.. _dropped.Select(part => new JsonText(at, part.ToString()))]))]);
    }

    private static IReadOnlyList<JsonMember> Section(JsonObject root, string name) => root.Find(name)?.Value is JsonObject section ? section.Members : [];

    private static JsonMember With(JsonMember section, List<JsonMember> members) => section with { Value = ((JsonObject)section.Value) with { Members = members } };

    private void Drop(string part, string why) => _dropped.Add(new(part, why));

    private List<JsonMember> Stems(IReadOnlyList<JsonMember> written, List<JsonMember> sums)
    {
        var names = new HashSet<string>(recipe.Stems.Select(stem => stem.Id).Concat(recipe.Nodes.Select(node => node.Id)), StringComparer.Ordinal);
        var stems = new List<JsonMember>();
        foreach (var member in written)
        {
            var (body, taken, match) = ((JsonObject)member.Value, assignment.Of(member.Name), _stems[member.Name].Match!);
            if (taken.Count == 0)
            {
                _meaning[member.Name] = null;
                Drop($"stem \"{member.Name}\"", overrides.AbsentStems.Contains(member.Name) ? "the song says that it does not have it" : "no file of the song is it");
                continue;
            }

            if (taken.Count == 1)
            {
                Add(member.Name, taken[0], body.Members);
                continue;
            }

            var parts = new List<JsonValue>();
            foreach (var file in taken)
            {
                var name = Fresh(member.Name, parts.Count + 1, names);
                Add(name, file, body.Members.Where(key => key.Name != "measure"));
                parts.Add(new JsonText(match.At, name));
            }

            JsonMember[] sum =
            [
                new("type", match.At, new JsonText(match.At, catalog.Types.First(type => type.Ports is [{ IsMany: true }]).Name)), new("in", match.At, new JsonArray(match.At, parts)),
                .. body.Members.Where(key => key.Name == "measure"),
            ];
            sums.Add(member with { Value = new JsonObject(body.At, sum) });

            void Add(string name, (string File, NamePattern? Pattern) file, IEnumerable<JsonMember> keys)
            {
                var at = match.Files.FirstOrDefault(named => named.Value == file.File) is { At.Line: > 0 } named ? named.At : match.At;
                JsonMember[] all = [new(RecipeKeys.File, at, new JsonText(at, prefix + file.File)), .. keys.Where(key => key.Name is not (RecipeKeys.File or RecipeKeys.Match or RecipeKeys.Many or RecipeKeys.Optional))];
                stems.Add(member with { Name = name, Value = body with { Members = all } });
                _files.Add(new(file.File, name, member.Name, file.Pattern));
            }
        }

        return stems;
    }

    /// <summary><c>others-1</c>; if that is taken, the next free number. A long name is cut, since it may have 64 letters only.</summary>
    private static string Fresh(string stem, int number, HashSet<string> taken)
    {
        for (; ; number++)
        {
            var ending = Invariant($"-{number}");
            var name = stem[..Math.Min(stem.Length, 64 - ending.Length)] + ending;
            if (taken.Add(name))
                return name;
        }
    }

    private void DropAnchor(DiagnosticList diagnostics)
    {
        if (recipe.Anchor is not { } anchor)
            return;
        var isMissing = _meaning.ContainsKey(anchor.Stem.Value);
        if (!overrides.HasNoAnchor && !isMissing)
            return;
        _hasAnchor = false;
        if (!overrides.HasNoAnchor && !anchor.IsOptional)
        {
            diagnostics.Add(new(
                DiagnosticCode.MissingAnchor, recipe.File, anchor.Stem.At, $"the anchor is stem \"{anchor.Stem.Value}\", which this song does not have",
                "Name another in song.json, \"anchor\": { \"stem\": ... }, or let the recipe say that the anchor is \"optional\": true: what hangs upon it is then left out"));
        }

        Drop("the anchor", overrides.HasNoAnchor ? "the song says that it has none" : $"its stem \"{anchor.Stem.Value}\" is not there");
    }

    private JsonMember Anchor(JsonMember written)
    {
        var body = (JsonObject)written.Value;
        return written with
        {
            Value = body with
            {
                Members =
                [
                    .. body.Members.Where(key => key.Name != RecipeKeys.Optional)
                        .Select(key => key.Name == "hits" && recipe.Anchor!.HitsFile is { } file ? key with { Value = new JsonText(file.At, prefix + file.Value) } : key),
                ],
            },
        };
    }

    private string? Meaning(string name) => _meaning.TryGetValue(name, out var meaning) ? meaning : name;

    private List<JsonMember> Nodes(IReadOnlyList<JsonMember> written)
    {
        var entries = recipe.Nodes.ToDictionary(node => node.Id, StringComparer.Ordinal);
        var bodies = written.ToDictionary(member => member.Name, member => (JsonObject)member.Value, StringComparer.Ordinal);
        foreach (var id in GiversFirst())
        {
            var (entry, body) = (entries[id], bodies[id]);
            var treated = entry.Type.IsChain ? Chain(entry, body) : Node(entry, body);
            if (treated is null)
                bodies.Remove(id);
            else
                bodies[id] = treated;
        }

        return [.. written.Where(member => bodies.ContainsKey(member.Name)).Select(member => member with { Value = bodies[member.Name] })];
    }

    /// <summary>Nodes so that each comes after those that it takes from; the recipe has no rings.</summary>
    private List<string> GiversFirst()
    {
        var takers = new Dictionary<string, List<string>>(StringComparer.Ordinal);
        var waits = new Dictionary<string, int>(StringComparer.Ordinal);
        foreach (var node in recipe.Nodes)
        {
            var givers = node.Steps.Prepend(node).SelectMany(part => part.Inputs).OfType<Connection>().Select(input => input.From.Split('.')[0]).Where(name => name != node.Id && !_stems.ContainsKey(name)).ToList();
            waits[node.Id] = givers.Count;
            foreach (var giver in givers)
            {
                if (!takers.TryGetValue(giver, out var list))
                    takers.Add(giver, list = []);
                list.Add(node.Id);
            }
        }

        var order = recipe.Nodes.Select(node => node.Id).Where(id => waits[id] == 0).ToList();
        for (var next = 0; next < order.Count; next++)
            order.AddRange(takers.GetValueOrDefault(order[next], []).Where(taker => --waits[taker] == 0));
        return order;
    }

    /// <summary>The node as it is now, or null if it is gone.</summary>
    private JsonObject? Node(NodeEntry entry, JsonObject body)
    {
        var port = entry.Type.Ports[0];
        if (port.IsMany)
            return Sum(entry, body, port);
        var from = entry.Inputs[0]!.From;
        if (Meaning(from) is not { } signal)
        {
            _meaning[entry.Id] = null;
            Drop(entry.Subject, $"it takes from \"{from}\", which is not there");
            return null;
        }

        if (WhyUntreated(entry, body) is not { } why)
            return Renamed(entry, body);
        _meaning[entry.Id] = signal;
        _untreated.Add(entry.Id);
        Drop(entry.Subject, $"{why}; its signal passes as it is");
        return null;
    }

    private JsonObject? Sum(NodeEntry entry, JsonObject body, Port port)
    {
        var value = body.Find(port.Name)!.Value;
        IReadOnlyList<JsonValue> items = value is JsonArray list ? list.Items : [value];
        var left = items.Where(item => Meaning(NameIn(item)) is not null).ToList();
        foreach (var item in items.Where(item => Meaning(NameIn(item)) is null && left.Count > 0))
            Drop($"an input of {entry.Subject}", $"it takes from \"{NameIn(item)}\", which is not there");
        if (left.Count > 0)
            return Renamed(entry, body with { Members = [.. body.Members.Select(key => key.Name == port.Name ? key with { Value = new JsonArray(value.At, left) } : key)] });
        _meaning[entry.Id] = null;
        Drop(entry.Subject, "nothing that it takes is there");
        return null;
    }

    private JsonObject? Chain(NodeEntry entry, JsonObject body)
    {
        var from = entry.Inputs[0]!.From;
        if (Meaning(from) is not { } signal)
        {
            foreach (var step in entry.Steps.Prepend(entry))
                _meaning[step.Id] = null;
            Drop(entry.Subject, $"it takes from \"{from}\", which is not there");
            return null;
        }

        var steps = new List<JsonValue>();
        var giver = signal;
        foreach (var (step, value) in entry.Steps.Zip(((JsonArray)body.Find("steps")!.Value).Items))
        {
            if (WhyUntreated(step, (JsonObject)value) is { } why)
            {
                _untreated.Add(step.Id);
                Drop(step.Subject, $"{why}; its signal passes as it is");
            }
            else
            {
                steps.Add(Renamed(step, (JsonObject)value));
                giver = Invariant($"{entry.Id}.{steps.Count}");
            }

            if (giver != step.Id)
                _meaning[step.Id] = giver;
        }

        if (steps.Count > 0)
            return Renamed(entry, body with { Members = [.. body.Members.Select(key => key.Name == "steps" ? key with { Value = new JsonArray(key.Value.At, steps) } : key)] });
        _meaning[entry.Id] = signal;
        _untreated.Add(entry.Id);
        Drop(entry.Subject, "none of its steps is left; its signal passes as it is");
        return null;
    }

    /// <summary>Why a node or step cannot do its work, or null: what steers it is not there, or the anchor's frequency.</summary>
    private string? WhyUntreated(NodeEntry entry, JsonObject body)
    {
        foreach (var (port, input) in entry.Type.Ports.Zip(entry.Inputs).Where(pair => pair.First.Kind == PortKind.Key))
        {
            if (body.Find(port.Name) is null && !_hasAnchor)
                return "the anchor, which steers it, is not there";
            if (body.Find(port.Name) is not null && Meaning(input!.From) is null)
                return $"\"{input.From}\", which steers it, is not there";
        }

        return !_hasAnchor && body.Members.FirstOrDefault(key => key.Value is JsonText { Value: "anchor" } && !entry.Type.Ports.Any(port => port.Name == key.Name) && key.Name != "type") is { } asking
            ? $"its {asking.Name} is the anchor's, which is not there"
            : null;
    }

    private static string NameIn(JsonValue input) => input switch
    {
        JsonText text => text.Value,
        JsonObject body when body.Find("from")?.Value is JsonText text => text.Value,
        _ => "",
    };

    /// <summary>A node that takes from what its inputs mean now, and measures only what can be.</summary>
    private JsonObject Renamed(NodeEntry entry, JsonObject body) => Measured(entry.Subject, body with
    {
        Members = [.. body.Members.Select(key => entry.Type.Ports.Any(port => port.Name == key.Name) ? key with { Value = Renamed(key.Value) } : key)],
    });

    private JsonValue Renamed(JsonValue value) => value switch
    {
        JsonText text => text with { Value = Meaning(text.Value)! },
        JsonArray list => list with { Items = [.. list.Items.Select(Renamed)] },
        JsonObject body => body with { Members = [.. body.Members.Select(key => key.Name == "from" ? key with { Value = Renamed(key.Value) } : key)] },
        _ => value,
    };

    private JsonObject Measured(string subject, JsonObject body)
    {
        if (_hasAnchor || body.Find("measure")?.Value is not JsonArray list)
            return body;
        var left = list.Items.Where(item => item is not JsonText name || !HearsTheAnchor(name.Value)).ToList();
        foreach (var item in list.Items.Except(left).Cast<JsonText>())
            Drop($"{item.Value} of {subject}", "it is measured against the anchor, which is not there");
        return left.Count == list.Items.Count ? body : body with
        {
            Members = [.. body.Members.Where(key => key.Name != "measure" || left.Count > 0).Select(key => key.Name == "measure" ? key with { Value = new JsonArray(key.Value.At, left) } : key)],
        };
    }

    private bool HearsTheAnchor(string measure) => catalog.Meters.MeterOf(measure)?.NeedsAnchor == true;

    private List<JsonMember> Outputs(IReadOnlyList<JsonMember> written, DiagnosticList diagnostics)
    {
        foreach (var output in recipe.Outputs)
        {
            if (WhyGone(output) is { } why)
                DropOutput(output, why);
        }

        // Without the gain that it was to take over it might be far too loud.
        while (recipe.Outputs.FirstOrDefault(output => !_goneOutputs.Contains(output.Id) && output.GainOf is { } other && _goneOutputs.Contains(other.Value)) is { } next)
            DropOutput(next, $"it has the gain of output \"{next.GainOf!.Value.Value}\", which is not there");

        if (_goneOutputs.Count > 0 && _goneOutputs.Count == recipe.Outputs.Count)
        {
            diagnostics.Add(new(
                DiagnosticCode.NothingMatches, recipe.File, recipe.Outputs[0].At, "nothing is left to be written: no output's signal is there",
                "Name the song's files in song.json, or use a recipe for songs like this one"));
        }

        return [.. written.Where(member => !_goneOutputs.Contains(member.Name)).Select(member => member with { Value = Output(member.Name, (JsonObject)member.Value) })];
    }

    private string? WhyGone(OutputEntry output) =>
        overrides.AbsentOutputs.Contains(output.Id) ? "the song does not want it"
        : Meaning(output.From.Value) is null ? $"it takes from \"{output.From.Value}\", which is not there"
        : output.Kind == OutputKind.Delta && _untreated.Contains(output.From.Value) ? $"\"{output.From.Value}\" takes nothing away any more"
        : null;

    private void DropOutput(OutputEntry output, string why)
    {
        _goneOutputs.Add(output.Id);
        Drop($"output \"{output.Id}\"", why);
    }

    private JsonObject Output(string id, JsonObject body)
    {
        var subject = $"output \"{id}\"";
        var members = new List<JsonMember>();
        foreach (var key in body.Members)
        {
            switch (key)
            {
                case { Name: "in" }:
                    members.Add(key with { Value = Renamed(key.Value) });
                    break;
                case { Name: "bextFrom", Value: JsonText stem } when Meaning(stem.Value) is null:
                    Drop($"bextFrom of {subject}", $"stem \"{stem.Value}\" is not there");
                    break;
                case { Name: "cues" } when !_hasAnchor:
                    Drop($"cues of {subject}", "the anchor is not there");
                    break;
                default:
                    members.Add(key);
                    break;
            }
        }

        return Measured(subject, body with { Members = members });
    }

    private JsonMember? Gates(JsonMember written)
    {
        if (written.Value is not JsonArray list)
            return written;
        var left = new List<JsonValue>();
        foreach (var item in list.Items)
        {
            var gate = (JsonObject)item;
            var (of, measure) = (((JsonText)gate.Find("of")!.Value).Value, ((JsonText)gate.Find("measure")!.Value).Value);
            var output = recipe.Outputs.FirstOrDefault(output => output.Owns(of));
            var isOutput = output is not null;

            // Of an output that is several files, one: NAME.PART.
            var isThere = output is null ? Meaning(of) is not null && !_untreated.Contains(of) : !_goneOutputs.Contains(output.Id) && (of == output.Id || Meaning(of[(output.Id.Length + 1)..]) is not null);
            if (!isThere)
                Drop($"the gate {measure} of {(isOutput ? "output " : "")}\"{of}\"", "that is not there");
            else if (!_hasAnchor && (HearsTheAnchor(measure) || gate.Find("during")?.Value is JsonText { Value: "hits" }))
                Drop($"the gate {measure} of {(isOutput ? "output " : "")}\"{of}\"", "it needs the anchor, which is not there");
            else
                left.Add(isOutput ? gate : gate with { Members = [.. gate.Members.Select(key => key.Name == "of" ? key with { Value = Renamed(key.Value) } : key)] });
        }

        return left.Count == 0 ? null : written with { Value = new JsonArray(written.Value.At, left) };
    }
}
