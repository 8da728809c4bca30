using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Planning;

/// <summary>
/// Finds the steps that can share a loop. Nodes that follow each other make a row; rows of the same kinds at the same distance from the stems cannot be waiting
/// for each other and are put side by side, by name, up to <see cref="MaxPlanes"/> channels.
/// </summary>
internal static class LaneGrouping
{
    /// <summary>Two of the widest vectors: while one waits for its own last sample, the other works.</summary>
    public const int MaxPlanes = 16;

    /// <summary>All steps, each in one unit.</summary>
    /// <param name="drafts">Each after all that it takes from.</param>
    public static IReadOnlyList<WorkUnit> Of(IReadOnlyList<DraftStep> drafts)
    {
        var takers = drafts.SelectMany(draft => draft.Inputs).GroupBy(input => input).ToDictionary(taken => taken.Key, taken => taken.Count());
        var rows = new Dictionary<DraftStep, List<DraftStep>>(); // by each of their steps
        var distance = new Dictionary<DraftStep, int>();
        foreach (var draft in drafts)
        {
            if (draft.Inputs is [var before] && CanFollow(draft) && CanRunInRow(before) && takers[before] == 1)
            {
                rows[before].Add(draft);
                rows.Add(draft, rows[before]);
                distance.Add(draft, distance[before]);
            }
            else
            {
                rows.Add(draft, [draft]);
                distance.Add(draft, (draft.OnlyAligns ? 0 : 1) + draft.Inputs.Select(input => distance[input]).DefaultIfEmpty(0).Max());
            }
        }

        var heads = drafts.Where(draft => rows[draft][0] == draft).ToList();
        return
        [
            .. heads.Where(head => head.LaneNode is null).Select(head => new WorkUnit([[head]], IsGroup: false)),
            .. heads.Where(head => head.LaneNode is not null)
                .GroupBy(head => (distance[head], Kind: string.Join(" + ", rows[head].Select(step => step.LaneNode!.LaneKind))))
                .SelectMany(like => Split(like.Select(head => rows[head]))),
        ];
    }

    private static bool CanRunInRow(DraftStep draft) => draft.LaneNode is { CanRunInRow: true };

    /// <summary>A listener must be brought its input, which would not exist inside a row: it can only begin one.</summary>
    private static bool CanFollow(DraftStep draft) => CanRunInRow(draft) && draft.LaneNode is not IListeningNode { MustListen: true };

    private static IEnumerable<WorkUnit> Split(IEnumerable<List<DraftStep>> rows)
    {
        var lanes = new List<List<DraftStep>>();
        var planes = 0;
        foreach (var row in rows.OrderBy(row => row[^1].Name, StringComparer.Ordinal))
        {
            if (lanes.Count > 0 && planes + row[0].Channels > MaxPlanes)
            {
                yield return new(lanes, IsGroup: true);
                (lanes, planes) = ([], 0);
            }

            lanes.Add(row);
            planes += row[0].Channels;
        }

        yield return new(lanes, IsGroup: true);
    }
}
