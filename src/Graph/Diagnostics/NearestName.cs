namespace RenderGraph.Graph.Diagnostics;

/// <summary>Finds what somebody probably meant.</summary>
public static class NearestName
{
    /// <summary>
    /// The known name that takes the fewest single-letter changes (insert, delete, replace, swap of neighbours; letter case is free)
    /// to reach from <paramref name="written"/>; ties go to the first by ordinal order.
    /// If none is within a third of the length, at least two changes, then the shortest known name that goes on after what was written, of three
    /// letters at least: a unit was forgotten. Else null.
    /// </summary>
    public static string? Of(string written, IEnumerable<string> known)
    {
        var limit = Math.Max(2, written.Length / 3);
        var names = known.ToList();
        return names
            .Where(name => Math.Abs(name.Length - written.Length) <= limit)
            .Select(name => (name, changes: Changes(written.ToUpperInvariant(), name.ToUpperInvariant())))
            .Where(candidate => candidate.changes <= limit && candidate.changes < candidate.name.Length)
            .OrderBy(candidate => candidate.changes).ThenBy(candidate => candidate.name, StringComparer.Ordinal)
            .Select(candidate => candidate.name)
            .FirstOrDefault()
            ?? (written.Length < 3 ? null : names.Where(name => name.StartsWith(written, StringComparison.OrdinalIgnoreCase)).OrderBy(name => name.Length)
                .ThenBy(name => name, StringComparer.Ordinal).FirstOrDefault());
    }

    /// <summary>Optimal string alignment distance.</summary>
    private static int Changes(string a, string b)
    {
        var cost = new int[a.Length + 1, b.Length + 1];
        for (var i = 0; i <= a.Length; i++) cost[i, 0] = i;
        for (var j = 0; j <= b.Length; j++) cost[0, j] = j;
        for (var i = 1; i <= a.Length; i++)
        {
            for (var j = 1; j <= b.Length; j++)
            {
                var replace = cost[i - 1, j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
                cost[i, j] = Math.Min(replace, Math.Min(cost[i - 1, j], cost[i, j - 1]) + 1);
                if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                    cost[i, j] = Math.Min(cost[i, j], cost[i - 2, j - 2] + 1);
            }
        }

        return cost[a.Length, b.Length];
    }
}
