namespace RenderGraph.Nodes.Measures.Hits;

/// <summary>
/// Finds the frame at which a stroke sets in. The wave is smoothed over a quarter of a millisecond, and its bend is taken: the second difference over steps of half a millisecond.
/// The tail of a stroke before hardly bends (a tone of 60 Hz keeps 4 % of its amplitude), bleed of cymbals is smoothed away, and at an onset the bend follows the wave itself.
/// The onset is where the bend first passes a tenth of its largest value near the stroke, and twice what there was before. Where noise hides it, all is done again over times four
/// times as long. Our own measure.
/// </summary>
internal sealed class OnsetPlace(History frames, int sampleRateHz)
{
    private const double BeforeMs = 25, AfterMs = 20, EarlierMs = 20;
    private const double Share = 0.1, OverBefore = 2, MostShare = 0.5;

    private static readonly (double StepMs, double SmoothMs)[] Scales = [(0.5, 0.25), (2, 1)];

    private readonly double[] _heard = new double[(int)((EarlierMs + BeforeMs + AfterMs + 8) * sampleRateHz / 1000) + 8];
    private readonly double[] _smoothed = new double[(int)((EarlierMs + BeforeMs + AfterMs + 6) * sampleRateHz / 1000)];
    private readonly double[] _bends = new double[(int)((EarlierMs + BeforeMs + AfterMs + 2) * sampleRateHz / 1000)];

    /// <summary>The onset near <paramref name="about"/>; null if nothing there stands out from what was before.</summary>
    /// <param name="lastOnset">The onset before: what is nearer to it than its attack lasts is not looked at.</param>
    public long? Near(long about, long lastOnset)
    {
        var from = Math.Max(about - Frames(BeforeMs), lastOnset + Frames(AfterMs));
        var to = about + Frames(AfterMs);
        if (from >= to)
            return null;
        var earlier = Math.Max(from - Frames(EarlierMs), Math.Min(from, lastOnset + Frames(AfterMs)));
        foreach (var (stepMs, smoothMs) in Scales)
        {
            var bends = Bends(earlier, (int)(to - earlier), Frames(stepMs), Frames(smoothMs));
            var before = (int)(from - earlier);
            if (Place(Largest(bends[..before]), bends[before..]) is { } place)
                return Math.Max(0, from + place);
        }

        return null;
    }

    private static int? Place(double before, ReadOnlySpan<double> bends)
    {
        var largest = Largest(bends);
        if (largest <= OverBefore * before)
            return null;
        var limit = Math.Max(Share * largest, Math.Min(OverBefore * before, MostShare * largest));
        var place = 0;
        while (bends[place] < limit)
            place++;
        return place;
    }

    private Span<double> Bends(long from, int count, int step, int smooth)
    {
        smooth = Math.Max(1, smooth);
        var smoothed = _smoothed.AsSpan(0, count + (2 * step));
        var heard = _heard.AsSpan(0, smoothed.Length + smooth - 1);
        frames.CopyTo(from - (2 * step) - (smooth / 2), heard);
        var sum = 0.0;
        foreach (var frame in heard[..(smooth - 1)])
            sum += frame;
        var entering = heard[(smooth - 1)..];
        for (var index = 0; index < smoothed.Length && index < entering.Length; index++)
        {
            sum += entering[index];
            smoothed[index] = sum / smooth;
            sum -= heard[index];
        }

        var bends = _bends.AsSpan(0, count);
        var middle = smoothed[step..];
        var last = smoothed[(2 * step)..];
        for (var index = 0; index < bends.Length && index < last.Length; index++)
            bends[index] = Math.Abs(last[index] - (2 * middle[index]) + smoothed[index]);
        return bends;
    }

    private static double Largest(ReadOnlySpan<double> bends)
    {
        var largest = 0.0;
        foreach (var bend in bends)
            largest = Math.Max(largest, bend);
        return largest;
    }

    private int Frames(double milliseconds) => (int)Math.Round(milliseconds * sampleRateHz / 1000);
}
