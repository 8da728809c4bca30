using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Binding;

/// <summary>What of a recipe there is in a song: what each name of the recipe means in the song's graph, and what is dropped.</summary>
/// <param name="hasAnchor">Whether the recipe has an anchor.</param>
internal sealed class WhatIsLeft(NodeCatalog catalog, bool hasAnchor)
{
    private readonly Dictionary<string, string?> _meaning = new(StringComparer.Ordinal);
    private readonly HashSet<string> _takenAway = new(StringComparer.Ordinal);
    private readonly List<DroppedPart> _dropped = [];

    /// <summary>Whether there is an anchor.</summary>
    public bool HasAnchor { get; private set; } = hasAnchor;

    /// <summary>What the song goes without, and why.</summary>
    public IReadOnlyList<DroppedPart> Dropped => _dropped;

    /// <summary>Notes that the song goes without something.</summary>
    public void Drop(string part, string why) => _dropped.Add(new(part, why));

    /// <summary>Notes that there is no anchor.</summary>
    public void DropAnchor(string why)
    {
        HasAnchor = false;
        Drop("the anchor", why);
    }

    /// <summary>The name in the graph of what a stem, node or step of the recipe gives; null if there is nothing left of it.</summary>
    public string? Meaning(string name) => _meaning.TryGetValue(name, out var meaning) ? meaning : name;

    /// <summary>Notes that a name means another, or nothing (null).</summary>
    public void Means(string name, string? meaning) => _meaning[name] = meaning;

    /// <summary>Notes that a node or step is gone, though a signal may pass where it was: nothing is measured there.</summary>
    public void TakeAway(string node) => _takenAway.Add(node);

    /// <summary>Whether that was noted.</summary>
    public bool IsTakenAway(string node) => _takenAway.Contains(node);

    /// <summary>Names as they are in the graph, where something takes from; all of them mean something.</summary>
    public JsonValue Renamed(JsonValue value) => value switch
    {
        JsonText text => text with { Value = Meaning(text.Value)! },
        JsonArray list => list with { Items = [.. list.Items.Select(Renamed)] },
        JsonObject body => body with { Members = [.. body.Members.Select(key => key.Name == "from" ? key with { Value = Renamed(key.Value) } : key)] },
        _ => value,
    };

    /// <summary>The body of a stem, node, step or output that measures only what can be.</summary>
    public JsonObject Measured(string subject, JsonObject body)
    {
        if (HasAnchor || body.Find("measure")?.Value is not JsonArray list)
            return body;
        var left = list.Items.Where(item => item is not JsonText name || !HearsTheAnchor(name.Value)).ToList();
        foreach (var item in list.Items.Except(left).Cast<JsonText>())
            Drop($"{item.Value} of {subject}", "it is measured against the anchor, which is not there");
        return left.Count == list.Items.Count ? body : body with
        {
            Members = [.. body.Members.Where(key => key.Name != "measure" || left.Count > 0).Select(key => key.Name == "measure" ? key with { Value = new JsonArray(key.Value.At, left) } : key)],
        };
    }

    /// <summary>Whether a measure needs the anchor.</summary>
    public bool HearsTheAnchor(string measure) => catalog.Meters.MeterOf(measure)?.NeedsAnchor == true;
}
