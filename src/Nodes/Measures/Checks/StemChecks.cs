using RenderGraph.Nodes.Measures.LowEnd;

namespace RenderGraph.Nodes.Measures.Checks;

/// <summary>Looks at what was measured of each stem for what should be put right, or known, before anything else. The limits are common practice, no source, unless a kind says otherwise.</summary>
public static class StemChecks
{
    private const double MostDcDbfs = -54, MostSubsonicDb = -12, LeastSubsonicDbfs = -60, CancellingDb = -6, LengthSeconds = 0.1, StartSeconds = 0.001;

    /// <summary>Checks every stem by itself and against the others, in the order of the stems.</summary>
    public static IReadOnlyList<Check> Of(LowEndMap map)
    {
        ArgumentNullException.ThrowIfNull(map);
        var checks = new List<Check>();
        var ends = map.Stems.GroupBy(stem => stem.StartFrame + stem.Format.LengthFrames).OrderByDescending(same => same.Count()).ThenByDescending(same => same.Key).FirstOrDefault();
        var clock = map.Stems.Where(stem => ClockSeconds(stem, map) is not null).ToList();
        var first = clock.MinBy(stem => ClockSeconds(stem, map));
        for (var index = 0; index < map.Stems.Count; index++)
        {
            if (first is not null && ClockSeconds(map.Stems[index], map) - ClockSeconds(first, map) is { } later
                && later - ((map.Stems[index].StartFrame - first.StartFrame) / (double)map.SampleRateHz) is var misplaced && Math.Abs(misplaced) >= StartSeconds)
            {
                checks.Add(new(CheckKind.Start, index, misplaced));
            }

            var (stem, facts, lowEnd) = (map.Stems[index], map.Stems[index].Facts, map.Stems[index].LowEnd);
            if (ends is not null && ends.Count() > 1 && (stem.StartFrame + stem.Format.LengthFrames - ends.Key) / (double)map.SampleRateHz is var longer && Math.Abs(longer) >= LengthSeconds)
                checks.Add(new(CheckKind.Length, index, longer));
            if (facts.IsSilent)
            {
                checks.Add(new(CheckKind.Silent, index));
                continue;
            }

            if (facts.ClippedPlaces > 0)
                checks.Add(new(CheckKind.Clipped, index, facts.ClippedPlaces, facts.FirstClippedFrame));
            if (lowEnd.DcDbfs >= MostDcDbfs)
                checks.Add(new(CheckKind.Dc, index, lowEnd.DcDbfs.Value));
            if (lowEnd.SubsonicDbfs >= LeastSubsonicDbfs && lowEnd.SubsonicDbfs - lowEnd.LevelDbfs is { } subsonicDb and >= MostSubsonicDb)
                checks.Add(new(CheckKind.Subsonic, index, subsonicDb));
            if (lowEnd.MonoLossDb <= CancellingDb && lowEnd.LevelDbfs >= LeastSubsonicDbfs)
                checks.Add(new(CheckKind.SidesCancel, index, lowEnd.MonoLossDb.Value));
            if (map.Stems.Take(index).ToList().FindIndex(earlier => AreSame(earlier, stem)) is >= 0 and var same)
                checks.Add(new(CheckKind.Duplicate, index, Other: same));
        }

        return checks;
    }

    // When it was recorded, if its file says.
    private static double? ClockSeconds(MeasuredStem stem, LowEndMap map) => stem.Format.TimeReferenceFrames / (double)(stem.Format.ConvertedFromHz ?? map.SampleRateHz);

    // Sums over all samples to the last bit: other samples would have to conspire.
    private static bool AreSame(MeasuredStem one, MeasuredStem other) =>
        one.Format.Channels == other.Format.Channels && one.Format.LengthFrames == other.Format.LengthFrames && one.StartFrame == other.StartFrame
        && one.Facts.PeakAmplitude == other.Facts.PeakAmplitude && one.Facts.MeanPower == other.Facts.MeanPower && one.Facts.DcAmplitude == other.Facts.DcAmplitude;
}
