namespace RenderGraph.Graph.Planning;

/// <summary>
/// Puts units of work in an order in which each comes after all that it takes from. Outputs come by name; before each comes what it takes, by name, and so
/// on down to the stems. So a stem's whole treatment stands together, and few signals are alive at once.
/// </summary>
internal static class TopologicalOrder
{
    /// <summary>The same order for the same units, however they come in. They cannot form a ring: whatever one takes lies nearer to the stems.</summary>
    public static IReadOnlyList<WorkUnit> Of(IReadOnlyCollection<WorkUnit> units)
    {
        var unitOf = units.SelectMany(unit => unit.Steps.Select(step => (step, unit))).ToDictionary(pair => pair.step, pair => pair.unit);
        var inputsOf = units.ToDictionary(unit => unit, unit => ByName(unit.Inputs.Select(input => unitOf[input]).Distinct()));
        var taken = inputsOf.Values.SelectMany(inputs => inputs).ToHashSet();

        var ordered = new List<WorkUnit>(units.Count);
        var entered = new HashSet<WorkUnit>();
        var open = new Stack<(WorkUnit Unit, Queue<WorkUnit> Inputs)>();
        foreach (var end in ByName(units.Where(unit => !taken.Contains(unit))))
        {
            Enter(end);
            while (open.TryPeek(out var top))
            {
                if (top.Inputs.TryDequeue(out var input))
                    Enter(input);
                else
                    ordered.Add(open.Pop().Unit);
            }
        }

        return ordered;

        void Enter(WorkUnit unit)
        {
            if (entered.Add(unit))
                open.Push((unit, new(inputsOf[unit])));
        }
    }

    private static List<WorkUnit> ByName(IEnumerable<WorkUnit> units) => [.. units.OrderBy(unit => unit.Name, StringComparer.Ordinal)];
}
