namespace RenderGraph.Graph.Planning;

/// <summary>
/// Puts steps in an order in which each comes after all that it takes from. Outputs come by name; before each comes what it takes, by name, and so on
/// down to the stems. So a stem's whole treatment stands together, and few signals are alive at once.
/// </summary>
internal static class TopologicalOrder
{
    /// <summary>The same order for the same steps, however they come in. They cannot form a ring: a draft is made after all that it takes from.</summary>
    public static IReadOnlyList<DraftStep> Of(IReadOnlyCollection<DraftStep> drafts)
    {
        var ordered = new List<DraftStep>(drafts.Count);
        var entered = new HashSet<DraftStep>();
        var open = new Stack<(DraftStep Draft, Queue<DraftStep> Inputs)>();
        var taken = drafts.SelectMany(draft => draft.Inputs).ToHashSet();

        foreach (var end in ByName(drafts.Where(draft => !taken.Contains(draft))))
        {
            Enter(end);
            while (open.TryPeek(out var top))
            {
                if (top.Inputs.TryDequeue(out var input))
                    Enter(input);
                else
                    ordered.Add(open.Pop().Draft);
            }
        }

        return ordered;

        void Enter(DraftStep draft)
        {
            if (entered.Add(draft))
                open.Push((draft, new(ByName(draft.Inputs))));
        }
    }

    private static IOrderedEnumerable<DraftStep> ByName(IEnumerable<DraftStep> drafts) => drafts.OrderBy(draft => draft.Name, StringComparer.Ordinal);
}
