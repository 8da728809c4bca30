namespace RenderGraph.Graph.Planning;

/// <summary>
/// What one signal has of another: the anchor as it is heard in the mix, say. All steps between the two are drafted once more with nothing else coming in but what steers them, so what is linear gives exactly
/// that part. Steps that hear nothing but the part are the part already, and are shared.
/// </summary>
/// <param name="all">Every draft, each after all that it takes from; new ones are added by <paramref name="add"/>.</param>
internal sealed class DraftParts(IReadOnlyList<DraftStep> all, Func<DraftStep, DraftStep> add)
{
    private readonly Dictionary<(DraftStep Of, DraftStep In), DraftStep?> _known = [];

    /// <summary>What <paramref name="whole"/> has of <paramref name="of"/>; null if it has nothing of it.</summary>
    public DraftStep? Of(DraftStep of, DraftStep whole)
    {
        if (_known.TryGetValue((of, whole), out var known))
            return known;

        var behind = Behind(whole);
        foreach (var draft in all.Where(behind.Contains).ToList())
        {
            if (!_known.ContainsKey((of, draft)))
                _known.Add((of, draft), draft == of ? of : Draft(of, draft));
        }

        return _known[(of, whole)];
    }

    private DraftStep? Draft(DraftStep of, DraftStep draft)
    {
        if (draft.Part is not { } part)
            return null;
        var inputs = draft.Inputs.Select((input, index) => part.IsHeard[index] ? _known[(of, input)] : input).ToList();
        var heard = Enumerable.Range(0, inputs.Count).Where(index => part.IsHeard[index]).ToList();
        if (heard.TrueForAll(index => inputs[index] is null))
            return null;
        if (heard.TrueForAll(index => inputs[index] == draft.Inputs[index]))
            return draft;
        var kept = Enumerable.Range(0, inputs.Count).Where(index => inputs[index] is not null).ToList();
        return add(part.Draft($"{draft.Name} ({of.Name} alone)", kept, [.. kept.Select(index => inputs[index]!)]) with { IsPatient = true });
    }

    /// <summary>The step itself and all that is heard in it.</summary>
    public static HashSet<DraftStep> Behind(DraftStep whole)
    {
        var found = new HashSet<DraftStep>();
        var open = new Stack<DraftStep>([whole]);
        while (open.TryPop(out var draft))
        {
            if (!found.Add(draft) || draft.Part is not { } part)
                continue;
            foreach (var input in draft.Inputs.Where((_, index) => part.IsHeard[index]))
                open.Push(input);
        }

        return found;
    }
}
