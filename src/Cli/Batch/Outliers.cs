using RenderGraph.Cli.Console;
using RenderGraph.Nodes.Dsp;
using static System.FormattableString;

namespace RenderGraph.Cli.Batch;

/// <summary>
/// Songs far from the median of their set: by more than three median absolute deviations, scaled by 1.4826 so that they are standard deviations where values are spread normally (Hampel 1974; three is common practice), and by a
/// distance that can be heard. A mean and a standard deviation would be drawn away by the very songs that are looked for.
/// </summary>
internal static class Outliers
{
    /// <summary>Fewer songs have no median worth the name.</summary>
    public const int LeastSongs = 5;

    private const double NormalScale = 1.4826, MostDeviations = 3, LeastSemitones = 3, LeastDb = 3;

    /// <summary>The rule, for views.</summary>
    public static string Rule { get; } = Invariant(
        $"A song stands apart if it lies more than {MostDeviations} median absolute deviations (times {NormalScale}) from the median of the set, and at least {LeastSemitones} semitones (anchor) or {LeastDb} dB; in a set of fewer than {LeastSongs} none does.");

    /// <summary>All of them, by song.</summary>
    public static IReadOnlyList<Outlier> Of(IReadOnlyList<SongResult> songs)
    {
        var found = new List<Outlier>();
        Add("frequencyHz", song => song.Anchor?.FrequencyHz, hertz => 12 * PortableMath.Log2(hertz), LeastSemitones, (value, median) =>
            Invariant($"its anchor sits at {value:0.0} Hz; the median of the set is {median:0.0} Hz"));
        Add("clearanceDb", song => song.ClearanceDb, db => db, LeastDb, (value, median) =>
            $"its anchor's clearance is {Say.Decimal(value)} dB; the median of the set is {Say.Decimal(median)} dB");
        for (var range = 0; range < SongMeasures.Ranges.Count; range++)
        {
            var (place, (name, key)) = (range, SongMeasures.Ranges[range]);
            Add(key, song => song.BalanceDb[place], db => db, LeastDb, (value, median) =>
                $"{name} lies at {Say.Decimal(value)} dB of the whole; the median of the set is {Say.Decimal(median)} dB");
        }

        return [.. found.OrderBy(outlier => outlier.Song, StringComparer.Ordinal)]; // stable: measures keep their order

        void Add(string measure, Func<SongMeasures, double?> valueOf, Func<double, double> scale, double least, Func<double, double, string> say)
        {
            var measured = songs.Where(song => song.Measures is not null && valueOf(song.Measures) is not null).ToList();
            if (measured.Count < LeastSongs)
                return;
            var median = Median(measured.ConvertAll(ValueOf));
            var deviation = Median(measured.ConvertAll(Distance));
            foreach (var song in measured.Where(song => Distance(song) > MostDeviations * NormalScale * deviation && Distance(song) >= least))
                found.Add(new(song.Name, measure, ValueOf(song), median, say(ValueOf(song), median)));

            double ValueOf(SongResult song) => valueOf(song.Measures!)!.Value;

            double Distance(SongResult song) => Math.Abs(scale(ValueOf(song)) - scale(median));
        }
    }

    /// <summary>The middle one, or the mean of the two in the middle, to the thousandth.</summary>
    public static double Median(IEnumerable<double> values)
    {
        var ordered = values.Order().ToList();
        return Math.Round((ordered[(ordered.Count - 1) / 2] + ordered[ordered.Count / 2]) / 2, 3, MidpointRounding.AwayFromZero);
    }
}
