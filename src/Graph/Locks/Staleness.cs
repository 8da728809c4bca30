using RenderGraph.Graph.Document;
using RenderGraph.Graph.Parameters;

namespace RenderGraph.Graph.Locks;

/// <summary>
/// Whether what was rendered still holds, and if not, why. There is one walk over all that could have changed: who has to decide stops at the first reason, who has to explain takes them all, so the decision and its words
/// cannot drift apart. Content decides; times of files play no part.
/// </summary>
public static class Staleness
{
    /// <summary>The reasons, cheap ones first; none if everything holds. Outputs are looked into last, and only if they are asked for.</summary>
    /// <param name="locked">The lock; null if there is none.</param>
    /// <param name="outputs">What is in each of the lock's outputs now, in their order; null for one that is not there.</param>
    public static IEnumerable<StaleReason> Reasons(RenderLock? locked, GraphState now, Func<IReadOnlyList<ContentHash?>> outputs)
    {
        if (locked is null)
        {
            yield return new(StaleKind.LockMissing, "there is no lock: the graph was not rendered yet, or its lock was deleted");
            yield break;
        }

        if (locked.EngineVersion != RenderLock.ThisEngine)
            yield return new(StaleKind.EngineChanged, $"engine {locked.EngineVersion} rendered it, and this is {RenderLock.ThisEngine}");
        foreach (var reason in OfGraph(locked.Graph, now.Effective))
            yield return reason;
        foreach (var (file, content) in now.Inputs.OrderBy(input => input.Key, StringComparer.Ordinal))
        {
            if (content is null)
                yield return new(StaleKind.InputChanged, $"input {file} is not there, or cannot be read");
            else if (locked.Inputs.TryGetValue(file, out var was) && was != content)
                yield return new(StaleKind.InputChanged, $"input {file} has changed");
            else if (was is null)
                yield return new(StaleKind.InputChanged, $"input {file} was not read then");
        }

        foreach (var reason in OfAnchor(locked.Anchor, now.MeasuredAnchor))
            yield return reason;
        foreach (var point in now.Document.Measured)
        {
            var taken = locked.Measures.FirstOrDefault(measures => measures.Point == point.Key)?.Measurements.Select(measurement => measurement.Name).ToHashSet(StringComparer.Ordinal) ?? [];
            foreach (var measure in point.Measures.Where(measure => !taken.Contains(measure)).Order(StringComparer.Ordinal))
                yield return new(StaleKind.MeasureMissing, $"{measure} of {point.Subject} was not measured");
        }

        foreach (var (output, content) in locked.Outputs.Zip(outputs()))
        {
            if (content is null)
                yield return new(StaleKind.OutputMissing, $"output {output.File} is not there");
            else if (content != output.Content)
                yield return new(StaleKind.OutputChanged, $"output {output.File} is not what was rendered");
        }
    }

    private static IEnumerable<StaleReason> OfGraph(IReadOnlyDictionary<string, string> was, IReadOnlyDictionary<string, string> now)
    {
        var told = new HashSet<string>(StringComparer.Ordinal);
        foreach (var path in was.Keys.Union(now.Keys).Order(StringComparer.Ordinal))
        {
            var (before, after) = (was.GetValueOrDefault(path), now.GetValueOrDefault(path));
            if (before == after)
                continue;
            var steps = path.Split(EffectiveGraph.Separator);
            if (steps.Length > 2)
            {
                // A whole part that came or went is one reason, not one for each of its values.
                var part = $"{steps[0]}{EffectiveGraph.Separator}{steps[1]}{EffectiveGraph.Separator}";
                var (existed, exists) = (Holds(was, part), Holds(now, part));
                if (existed != exists)
                {
                    if (told.Add(part))
                        yield return new(StaleKind.GraphChanged, $"{Subject(steps)} is {(exists ? "new" : "gone")}");
                    continue;
                }
            }

            if (steps is [EffectiveGraph.Nodes, _, EffectiveGraph.Version])
                yield return new(StaleKind.NodeVersionChanged, $"{Subject(steps)}: its type had version {before}, and has {after} now");
            else
                yield return new(StaleKind.GraphChanged, $"{Subject(steps)}{Key(steps)} was {before ?? "left out"}, and is {after ?? "left out"} now");
        }
    }

    private static IEnumerable<StaleReason> OfAnchor(LockedAnchor? was, LockedAnchor? now)
    {
        if (now is null)
            yield break;
        if (was?.Frequency != now.Frequency)
            yield return new(StaleKind.AnchorChanged, $"the anchor was measured {At(was?.Frequency?.FrequencyHz)}, and is measured {At(now.Frequency?.FrequencyHz)} now");
        if (!(was?.Hits ?? []).SequenceEqual(now.Hits ?? []))
            yield return new(StaleKind.AnchorChanged, $"the anchor had {CanonicalJson.Number(was?.Hits?.Count ?? 0)} hits, and has {CanonicalJson.Number(now.Hits?.Count ?? 0)} now, not all where they were");

        static string At(double? frequencyHz) => frequencyHz is { } hertz ? $"at {ParameterName.Write(hertz)} Hz" : "without a frequency";
    }

    private static bool Holds(IReadOnlyDictionary<string, string> values, string part) => values.Keys.Any(path => path.StartsWith(part, StringComparison.Ordinal));

    /// <summary>What messages call the part: <c>node "subRoom"</c>, <c>the anchor</c>; nothing for the graph itself.</summary>
    private static string Subject(string[] steps) => steps switch
    {
        [_] => "",
        [var section, _] => section == "anchor" ? "the anchor" : section,
        [var section, var name, ..] => section switch
        {
            EffectiveGraph.Nodes => name.Contains(' ', StringComparison.Ordinal) ? $"output \"{name[..name.IndexOf(' ', StringComparison.Ordinal)]}\"" : name.Contains('.', StringComparison.Ordinal) ? $"step \"{name}\"" : $"node \"{name}\"",
            "stems" or "outputs" => $"{section[..^1]} \"{name}\"",
            _ => $"{section} \"{name}\"",
        },
        _ => "",
    };

    private static string Key(string[] steps) => steps switch
    {
        [var key] => key,
        [_, var key] => $": {key}",
        [_, _, .. var keys] => $": {string.Join('.', keys)}",
        _ => "",
    };
}
