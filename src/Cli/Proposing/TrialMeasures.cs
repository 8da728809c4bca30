using static System.FormattableString;
using RenderGraph.Cli.Console;

namespace RenderGraph.Cli.Proposing;

/// <summary>What a trial render gave. Levels are those at the anchor's hits unless said otherwise.</summary>
/// <param name="ClearanceDb">The anchor over everything else in its own band: the median over hits; <see cref="Free"/> if nothing else is there.</param>
/// <param name="OwnDbfs">All together in the anchor's own band.</param>
/// <param name="LowEndDbfs">All together from 20 to 300 Hz.</param>
/// <param name="PeakDbfs">The highest peak of the mix at a hit.</param>
/// <param name="SongPeakDbfs">The highest peak of the mix anywhere.</param>
/// <param name="RumbleDbfs">6 to 20 Hz and offset, over the whole song.</param>
internal sealed record TrialMeasures(double ClearanceDb, double OwnDbfs, double LowEndDbfs, double PeakDbfs, double SongPeakDbfs, double RumbleDbfs)
{
    /// <summary>Clearance where nothing else is there.</summary>
    public const double Free = 99;

    /// <summary>What changed, in words; only what changed by 0.1 dB.</summary>
    public string ChangeFrom(TrialMeasures before)
    {
        var changes = new List<string>();
        Add("clearance", ClearanceDb - before.ClearanceDb);
        Add("low end", LowEndDbfs - before.LowEndDbfs);
        Add("peak", PeakDbfs - before.PeakDbfs);
        if (RumbleDbfs < before.RumbleDbfs - 1)
            Add("below 20 Hz", RumbleDbfs - before.RumbleDbfs);
        return changes.Count == 0 ? "no change" : string.Join(", ", changes);

        void Add(string what, double change)
        {
            if (Math.Abs(change) >= 0.05)
                changes.Add(Invariant($"{what} {(change > 0 ? "+" : "")}{Say.Decimal(change)} dB"));
        }
    }
}
