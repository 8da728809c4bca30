using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Speakers;

namespace RenderGraph.Cli.Console;

/// <summary>What was measured, as tables of one row a place: loudness and peaks, then crest factors, then whatever else there is. Columns that nobody asked for are left out.</summary>
internal static class MeasureTables
{
    private static readonly (string Heading, string Measure)[] LoudnessColumns =
    [
        (">LUFS", "integratedLufs"), (">max M", "maxMomentaryLufs"), (">max S", "maxShortTermLufs"), (">LRA", "loudnessRangeLu"),
        (">dBTP", "truePeakDbtp"), (">dBFS", "samplePeakDbfs"), (">PLR", "peakToLoudnessDb"), (">PSR", "minPeakToShortTermDb"),
    ];

    private static readonly (string Heading, string Measure)[] CrestColumns =
    [
        (">all", "crestDb"), (">20-30 Hz", "crest20To30Db"), (">30-60 Hz", "crest30To60Db"), (">60-120 Hz", "crest60To120Db"),
        (">120-300 Hz", "crest120To300Db"), (">above", "crestAbove300Db"),
    ];

    private static readonly (string Heading, string Measure)[] LowEndColumns =
    [
        (">20-300 Hz", "lowEndDbfs"), (">20-30", "level20To30Dbfs"), (">30-60", "level30To60Dbfs"), (">60-120", "level60To120Dbfs"), (">120-300", "level120To300Dbfs"),
        (">below 20", "subsonicDbfs"), (">share", "subsonicShare"), (">offset", "dcDbfs"), (">mono", "monoLossDb"),
    ];

    private static readonly (string Heading, string Measure)[] AnchorColumns =
    [
        (">clearance", "clearanceDb"), (">covers", "overlap"), (">sum", "summationGainDb"), (">phase", "phaseDegrees"), (">steady", "phaseConsistency"), (">peak", "peakCostDb"),
    ];

    private static readonly (string Heading, string Measure)[] SpeakerColumns =
    [
        .. SmallSpeaker.CornersHz.Select(hz => (FormattableString.Invariant($">{hz} Hz"), SpeakerMeter.Loudness(hz))),
        .. SmallSpeaker.CornersHz.Select(hz => (FormattableString.Invariant($">-{hz} Hz"), SpeakerMeter.Loss(hz))),
    ];

    /// <summary>What the columns mean.</summary>
    public static IEnumerable<string> Rules { get; } =
    [
        "LUFS is the integrated loudness with both gates, M momentary (0.4 s) and S short-term (3 s), read every 10 ms: ITU-R BS.1770-5, EBU Tech 3341. "
            + "LRA is the range in LU: EBU Tech 3342.",
        "dBTP is the true peak at 8 times the rate, dBFS the largest sample. PLR is the true peak above the integrated loudness, PSR the least true peak above the "
            + "short-term loudness, both in dB.",
    ];

    /// <summary>Writes the tables, then what could not be measured, and why.</summary>
    /// <param name="place">Heading of the places.</param>
    public static void Write(TextWriter writer, int widthColumns, string place, IReadOnlyList<MeasuredRow> rows)
    {
        var isFirst = true;
        WriteTable(LoudnessColumns, heading: null);
        WriteTable(CrestColumns, "crest factor in dB");
        WriteTable(LowEndColumns, "low end in dBFS; what lies below 20 Hz, and its share; constant offset; what mono loses, in dB");
        WriteTable(SpeakerColumns, "loudness in LUFS on small speakers that fall below so many Hz, and how much of it is lost there, in LU");
        WriteTable(AnchorColumns, "at the anchor's hits: its clearance in dB, how much of it is covered, both together over the louder, phase, cost of the mix's peak in dB");

        var shown = LoudnessColumns.Concat(CrestColumns).Concat(LowEndColumns).Concat(SpeakerColumns).Concat(AnchorColumns).Select(column => column.Measure).ToHashSet();
        var others = new TextTable(place, "found");
        foreach (var row in rows)
        {
            var found = row.Measurements.Where(measurement => measurement.Value is not null && !shown.Contains(measurement.Name)).ToList();
            if (found.Count > 0)
                others.Add(row.Place, string.Join(", ", found.Select(measurement => $"{measurement.Name} {Say.Figure(measurement.Value)}")));
        }

        if (!others.IsEmpty)
            BeginSection();
        others.WriteTo(writer, widthColumns);

        var none = rows.SelectMany(row => row.Measurements.NotMeasurable().Select(sentence => (row.Place, sentence))).ToList();
        if (none.Count > 0)
            BeginSection();
        foreach (var (where, sentence) in none)
            writer.WriteMarked($"{where}: ", sentence, widthColumns, indent: 2);

        void WriteTable((string Heading, string Measure)[] known, string? heading)
        {
            var columns = known.Where(column => rows.Any(row => row.Measurements.Any(measurement => measurement.Name == column.Measure))).ToList();
            if (columns.Count == 0)
                return;
            BeginSection();
            if (heading is not null)
                writer.WriteWrapped(heading, widthColumns, indent: 2);
            var table = new TextTable([.. columns.Select(column => column.Heading).Prepend(">length"), place]);
            foreach (var row in rows.Where(row => row.Measurements.Any(measurement => columns.Exists(column => column.Measure == measurement.Name))))
                table.Add([row.Length, .. columns.Select(column => row.Measurements.Cell(column.Measure)), row.Place]);
            table.WriteTo(writer, widthColumns);
        }

        void BeginSection()
        {
            if (!isFirst)
                writer.WriteLine();
            isFirst = false;
        }
    }
}

/// <summary>One place, and what was measured there.</summary>
/// <param name="Place">A file, or a point of the graph.</param>
/// <param name="Length">How much was heard.</param>
internal sealed record MeasuredRow(string Place, string Length, IReadOnlyList<Measurement> Measurements);
