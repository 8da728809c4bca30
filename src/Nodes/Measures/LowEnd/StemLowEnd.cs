using RenderGraph.Nodes.Measures.Pitch;

namespace RenderGraph.Nodes.Measures.LowEnd;

/// <summary>
/// A stem's low end over the whole song. Levels are mean powers, averaged over the channels, with a full-scale sine at -3.0 dBFS; null under -200 dBFS. Windows are raised cosines of 340 ms, half overlapping.
/// </summary>
/// <param name="LevelDbfs">20 to 300 Hz.</param>
/// <param name="Share">Its part of all stems' power from 20 to 300 Hz, 0 to 1.</param>
/// <param name="RangesDbfs">20-30, 30-60, 60-120 and 120-300 Hz: the first four of <see cref="BandLevels.Bands"/>.</param>
/// <param name="BandsDbfs">The fourteen bands of <see cref="Bands.ErbScale.HalfErbBands"/>.</param>
/// <param name="SubsonicDbfs">6 to 20 Hz.</param>
/// <param name="DcDbfs">Constant offset, as an amplitude.</param>
/// <param name="SideShare">Width: the side signal's part of the power from 20 to 300 Hz; 0 is mono, 0.5 two independent sides, 1 two sides that cancel. Null where there is no low end.</param>
/// <param name="MonoLossDb">What the low end loses when played in mono: level of (L + R) / 2 against the mean of L and R, 0 or less. Null where there is no low end; -200 where nothing is left.</param>
/// <param name="Notes">What it plays, lowest first.</param>
/// <param name="FilledFraction">How much of each second its low end fills, by power: a kick is at 0.1 to 0.3, a held bass above 0.5.</param>
public sealed record StemLowEnd(
    double? LevelDbfs, double Share, IReadOnlyList<double?> RangesDbfs, IReadOnlyList<double?> BandsDbfs, double? SubsonicDbfs, double? DcDbfs,
    double? SideShare, double? MonoLossDb, IReadOnlyList<PlayedNote> Notes, double? FilledFraction)
{
    /// <summary>A note that was only heard for a moment is not shown as the lowest: 0.25 s.</summary>
    private const double LeastSeconds = 0.25;

    /// <summary>The lowest fundamental played, or null.</summary>
    public PlayedNote? Lowest => Notes.FirstOrDefault(note => note.Seconds >= LeastSeconds);

    /// <summary>How unevenly loud its notes are: loudest over softest of those struck twice or more, in dB; null with fewer than two.</summary>
    public double? UnevennessDb
    {
        get
        {
            var levels = Notes.Where(note => note.Count >= 2).Select(note => note.LevelDbfs).ToList();
            return levels.Count < 2 ? null : levels.Max() - levels.Min();
        }
    }
}
