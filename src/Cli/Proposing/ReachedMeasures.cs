namespace RenderGraph.Cli.Proposing;

/// <summary>What the proposed graph measures of itself: what its gates are made from. Null is what could not be measured.</summary>
/// <param name="TruePeakDbtp">Of the sum, before it is taken down.</param>
/// <param name="ClearanceDb">Of the anchor's stem in it.</param>
/// <param name="UntreatedClearanceDb">The same without the treatment.</param>
/// <param name="MonoLossDb">What the low end of the sum loses in mono.</param>
/// <param name="HitCount">Hits found in the anchor's stem.</param>
internal sealed record ReachedMeasures(double? TruePeakDbtp, double? ClearanceDb, double? UntreatedClearanceDb, double? MonoLossDb, double? HitCount)
{
    private const double LeastTruePeakDbtp = -1, RoomDb = 0.1, MonoRoomDb = 0.5, MostMarginDb = 1, HitShare = 0.1;

    /// <summary>Gates that hold now, by a margin less than the treatment gave.</summary>
    /// <param name="mixGainDb">By which the sum is taken down.</param>
    public IEnumerable<ProposedGate> Gates(string mix, string anchor, double mixGainDb)
    {
        if (TruePeakDbtp is { } peak)
        {
            var limit = Math.Max(LeastTruePeakDbtp, Up(peak + mixGainDb + RoomDb));
            yield return new("truePeakDbtp", mix, null, limit, limit == LeastTruePeakDbtp ? "streaming encoders add up to a decibel" : "this is where it peaks now: making room must not cost peak");
        }

        if (ClearanceDb is { } clearance)
        {
            // Undone, the treatment gives all of its gain back: half of it tells.
            var gain = UntreatedClearanceDb is { } untreated ? clearance - untreated : 0;
            var margin = gain > 0 ? Math.Min(MostMarginDb, gain / 2) : MostMarginDb;
            yield return new(
                "clearanceDb", mix, Down(clearance - margin), null,
                FormattableString.Invariant($"{clearance:0.0} dB was reached{(UntreatedClearanceDb is { } before ? FormattableString.Invariant($", {before:0.0} dB without the treatment") : "")}"));
        }

        if (MonoLossDb is { } loss)
            yield return new("monoLossDb", mix, Down(loss - MonoRoomDb), null, "the low end is played in mono");
        if (HitCount is { } count)
        {
            var few = Math.Ceiling(count * HitShare);
            yield return new("hitCount", anchor, Math.Max(0, count - few), count + few, "what moves is drawn from its hits; another number is another part");
        }
    }

    private static double Up(double value) => Math.Ceiling(value * 10) / 10;

    private static double Down(double value) => Math.Floor(value * 10) / 10;
}
