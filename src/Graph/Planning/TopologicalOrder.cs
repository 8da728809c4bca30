namespace RenderGraph.Graph.Planning;

/// <summary>Puts steps in an order in which each comes after all that it takes from; of several that could be next, the first by name.</summary>
internal static class TopologicalOrder
{
    /// <summary>The same order for the same steps, however they come in.</summary>
    public static IReadOnlyList<DraftStep> Of(IReadOnlyCollection<DraftStep> drafts)
    {
        var waitsFor = drafts.ToDictionary(draft => draft, draft => draft.Inputs.Distinct().Count());
        var feeds = drafts
            .SelectMany(draft => draft.Inputs.Distinct().Select(input => (input, draft)))
            .ToLookup(edge => edge.input, edge => edge.draft);
        var ready = new SortedSet<DraftStep>(
            waitsFor.Where(entry => entry.Value == 0).Select(entry => entry.Key),
            Comparer<DraftStep>.Create((a, b) => string.CompareOrdinal(a.Name, b.Name)));

        var ordered = new List<DraftStep>(drafts.Count);
        while (ready.Min is { } next)
        {
            ready.Remove(next);
            ordered.Add(next);
            foreach (var fed in feeds[next])
            {
                if (--waitsFor[fed] == 0)
                    ready.Add(fed);
            }
        }

        return ordered.Count == drafts.Count
            ? ordered
            : throw new ArgumentException("Steps feed each other in a ring; validation should have found it.", nameof(drafts));
    }
}
