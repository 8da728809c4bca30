namespace RenderGraph.Cli.Batch;

/// <summary>What is compared between the songs of a set.</summary>
/// <param name="LengthSeconds">Of the output.</param>
/// <param name="Anchor">Of the stems as they came; null if nobody owns the low end.</param>
/// <param name="ClearanceDb">By how much the anchor stands above everything else in its own band at half of its hits, in the stems as they came; null without anchor, or if nothing else is there.</param>
/// <param name="BalanceOf">The output whose balance it is.</param>
/// <param name="BalanceDb">Level of each of <see cref="Ranges"/> against that of the whole output; null where there is silence.</param>
internal sealed record SongMeasures(double LengthSeconds, SongAnchor? Anchor, double? ClearanceDb, string BalanceOf, IReadOnlyList<double?> BalanceDb)
{
    /// <summary>The low bands: their names, and their keys in JSON.</summary>
    public static IReadOnlyList<(string Name, string Key)> Ranges { get; } =
        [("20-30 Hz", "from20To30HzDb"), ("30-60 Hz", "from30To60HzDb"), ("60-120 Hz", "from60To120HzDb"), ("120-300 Hz", "from120To300HzDb")];
}
