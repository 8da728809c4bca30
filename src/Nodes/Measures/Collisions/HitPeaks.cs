using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Stems;

namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>The peak of all stems together at each hit, at the full rate, and what it would be without each of them. Muted stems are not in the sum.</summary>
public sealed class HitPeaks
{
    /// <summary>How long before an onset, and after it, a peak belongs to the hit.</summary>
    internal const double BeforeSeconds = 0.005, AfterSeconds = 0.17;

    private readonly double[] _peaks;
    private readonly double[][] _without;

    private HitPeaks(double[] peaks, double[][] without)
    {
        (_peaks, _without) = (peaks, without);
    }

    /// <summary>The highest peak of the sum at any hit; null without hits, or if all is silent.</summary>
    public double? MixPeakDbfs => _peaks.DefaultIfEmpty(0).Max() is > 0 and var peak ? Decibels.FromAmplitude(peak) : null;

    /// <summary>By how much the peak is higher with a stem than without: the median over the hits; below 0 if it takes from the peak. Null without hits.</summary>
    public double? CostDb(int stem) => HitFigures.Median(_peaks.Select((peak, hit) => CostDb(peak, _without[stem][hit])).OfType<double>());

    /// <summary>By how much a peak is higher than another; null if either is silence.</summary>
    internal static double? CostDb(double peak, double without) => peak > 0 && without > 0 ? Decibels.FromAmplitude(peak / without) : null;

    /// <summary>Measures.</summary>
    /// <exception cref="StemException">A stem changed or failed while it was read.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static HitPeaks Measure(IReadOnlyList<SongStem> stems, int sampleRateHz, IReadOnlyList<Hit> hits, int threads, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(stems);
        ArgumentNullException.ThrowIfNull(hits);
        var before = (int)(BeforeSeconds * sampleRateHz);
        var frames = before + (int)(AfterSeconds * sampleRateHz);
        var peaks = new double[hits.Count];
        var without = stems.Select(_ => new double[hits.Count]).ToArray();
        Parallelly.For(hits.Count, threads, () => new Room(stems, frames), (hit, room) =>
        {
            room.Read(hits[hit].Frame - before);
            peaks[hit] = room.Peak();
            for (var stem = 0; stem < stems.Count; stem++)
                without[stem][hit] = stems[stem].IsMuted ? peaks[hit] : room.PeakWithout(stem);
        }, cancellation);
        return new(peaks, without);
    }

    private sealed class Room(IReadOnlyList<SongStem> stems, int frames)
    {
        private readonly Signal[] _signals = [.. stems.Select(stem => Signal.Allocate(stem.Reader.Format.Channels, frames))];
        private readonly Signal _sum = Signal.Allocate(2, frames);
        private readonly double[] _less = new double[frames];

        public void Read(long startFrame)
        {
            _sum.Clear();
            for (var stem = 0; stem < stems.Count; stem++)
            {
                if (stems[stem].IsMuted)
                    continue;
                stems[stem].Read(startFrame, _signals[stem]);
                for (var channel = 0; channel < 2; channel++)
                    Planes.AddScaled(_signals[stem][Math.Min(channel, _signals[stem].Channels - 1)], 1, _sum[channel]);
            }
        }

        public double Peak() => Peaks.Largest(_sum[1], Peaks.Largest(_sum[0]));

        public double PeakWithout(int stem)
        {
            var peak = 0.0;
            for (var channel = 0; channel < 2; channel++)
            {
                _sum[channel].CopyTo(_less);
                Planes.AddScaled(_signals[stem][Math.Min(channel, _signals[stem].Channels - 1)], -1, _less);
                peak = Peaks.Largest(_less, peak);
            }

            return peak;
        }
    }
}
