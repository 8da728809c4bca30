using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;
using static System.FormattableString;

namespace RenderGraph.Graph.Binding;

/// <summary>The nodes that a song has: those whose signal is there; where only what steers them is missing, the signal passes as it is.</summary>
internal sealed class NodesLeft(GraphDocument recipe, WhatIsLeft left)
{
    private readonly HashSet<string> _stems = recipe.Stems.Select(stem => stem.Id).ToHashSet(StringComparer.Ordinal);

    /// <summary>Makes them.</summary>
    /// <param name="written">The recipe's.</param>
    public List<JsonMember> Make(IReadOnlyList<JsonMember> written)
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
            var givers = node.Steps.Prepend(node).SelectMany(part => part.Inputs).OfType<Connection>().Select(input => input.From.Split('.')[0]).Where(name => name != node.Id && !_stems.Contains(name)).ToList();
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
        if (left.Meaning(from) is not { } signal)
        {
            left.Means(entry.Id, null);
            left.Drop(entry.Subject, $"it takes from \"{from}\", which is not there");
            return null;
        }

        if (WhyUntreated(entry, body) is not { } why)
            return Renamed(entry, body);
        left.Means(entry.Id, signal);
        left.TakeAway(entry.Id);
        left.Drop(entry.Subject, $"{why}; its signal passes as it is");
        return null;
    }

    private JsonObject? Sum(NodeEntry entry, JsonObject body, Port port)
    {
        var value = body.Find(port.Name)!.Value;
        IReadOnlyList<JsonValue> items = value is JsonArray list ? list.Items : [value];
        var there = items.Where(item => left.Meaning(NameIn(item)) is not null).ToList();
        foreach (var item in items.Where(item => left.Meaning(NameIn(item)) is null && there.Count > 0))
            left.Drop($"an input of {entry.Subject}", $"it takes from \"{NameIn(item)}\", which is not there");
        if (there.Count > 0)
            return Renamed(entry, body with { Members = [.. body.Members.Select(key => key.Name == port.Name ? key with { Value = new JsonArray(value.At, there) } : key)] });
        left.Means(entry.Id, null);
        left.Drop(entry.Subject, "nothing that it takes is there");
        return null;
    }

    private JsonObject? Chain(NodeEntry entry, JsonObject body)
    {
        var from = entry.Inputs[0]!.From;
        if (left.Meaning(from) is not { } signal)
        {
            foreach (var step in entry.Steps.Prepend(entry))
                left.Means(step.Id, null);
            left.Drop(entry.Subject, $"it takes from \"{from}\", which is not there");
            return null;
        }

        var steps = new List<JsonValue>();
        var giver = signal;
        foreach (var (step, value) in entry.Steps.Zip(((JsonArray)body.Find("steps")!.Value).Items))
        {
            if (WhyUntreated(step, (JsonObject)value) is { } why)
            {
                left.TakeAway(step.Id);
                left.Drop(step.Subject, $"{why}; its signal passes as it is");
            }
            else
            {
                steps.Add(Renamed(step, (JsonObject)value));
                giver = Invariant($"{entry.Id}.{steps.Count}");
            }

            if (giver != step.Id)
                left.Means(step.Id, giver);
        }

        if (steps.Count > 0)
            return Renamed(entry, body with { Members = [.. body.Members.Select(key => key.Name == "steps" ? key with { Value = new JsonArray(key.Value.At, steps) } : key)] });
        left.Means(entry.Id, signal);
        left.TakeAway(entry.Id);
        left.Drop(entry.Subject, "none of its steps is left; its signal passes as it is");
        return null;
    }

    /// <summary>Why a node or step cannot do its work, or null: what steers it is not there, or the anchor's frequency.</summary>
    private string? WhyUntreated(NodeEntry entry, JsonObject body)
    {
        foreach (var (port, input) in entry.Type.Ports.Zip(entry.Inputs).Where(pair => pair.First.Kind == PortKind.Key))
        {
            if (body.Find(port.Name) is null && !left.HasAnchor)
                return "the anchor, which steers it, is not there";
            if (body.Find(port.Name) is not null && left.Meaning(input!.From) is null)
                return $"\"{input.From}\", which steers it, is not there";
        }

        return !left.HasAnchor && body.Members.FirstOrDefault(key => key.Value is JsonText { Value: "anchor" } && !entry.Type.Ports.Any(port => port.Name == key.Name) && key.Name != "type") is { } asking
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
    private JsonObject Renamed(NodeEntry entry, JsonObject body) => left.Measured(entry.Subject, body with
    {
        Members = [.. body.Members.Select(key => entry.Type.Ports.Any(port => port.Name == key.Name) ? key with { Value = left.Renamed(key.Value) } : key)],
    });
}
