namespace RenderGraph.Nodes.Measures.Hits;

/// <summary>
/// How loud a part's loud strokes are: the median of their peaks, each counted by its energy, so that ghosts and bleed hardly count, however many they are. One or two strokes
/// that stand 6 dB above all others are set aside first, if they are fewer than one in twenty of those within 30 dB. Our own rule.
/// </summary>
internal static class LoudStrokes
{
    private const int OutlierCount = 2, OutlierShare = 20;
    private const double OutlierRatio = 2, ActiveRatio = 31.6;

    /// <summary>Their amplitude.</summary>
    /// <param name="amplitudes">One at least.</param>
    public static double Of(IReadOnlyList<double> amplitudes)
    {
        var falling = amplitudes.OrderDescending().ToList();
        while (true)
        {
            var near = falling.Count(amplitude => amplitude > falling[0] / OutlierRatio);
            if (near > OutlierCount || near * OutlierShare >= falling.Count(amplitude => amplitude > falling[0] / ActiveRatio))
                break;
            falling.RemoveRange(0, near);
        }

        var half = falling.Sum(amplitude => amplitude * amplitude) / 2;
        var louder = 0.0;
        return falling.First(amplitude => (louder += amplitude * amplitude) >= half);
    }

    /// <summary>The middle one, or the lower of the two.</summary>
    /// <param name="values">One at least.</param>
    public static double MedianOf(IReadOnlyList<double> values) => values.Order().ElementAt((values.Count - 1) / 2);
}
