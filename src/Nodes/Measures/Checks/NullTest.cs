using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Stems;

namespace RenderGraph.Nodes.Measures.Checks;

/// <summary>What is left when a reference mix is taken from the sum of all stems that are not muted. Levels are mean powers over both sides; -200 dB stands for nothing.</summary>
/// <param name="ResidualDb">What is left, against the reference.</param>
/// <param name="ResidualPeakDbfs">Its highest sample.</param>
/// <param name="WorstSeconds">The second of the song in which most is left, by its start.</param>
/// <param name="WorstDb">What is left in it, against the reference as a whole.</param>
/// <param name="BestGainDb">The gain of the reference against the sum at which least is left; null if they have nothing in common.</param>
/// <param name="ResidualAtBestGainDb">What would be left then.</param>
/// <param name="LengthDifferenceSeconds">How much longer the reference is than the song.</param>
public sealed record NullTest(
    double ResidualDb, double ResidualPeakDbfs, double WorstSeconds, double WorstDb, double? BestGainDb, double ResidualAtBestGainDb, double LengthDifferenceSeconds)
{
    private const double FloorDb = -200;

    /// <summary>Measures, a second at a time. The reference begins with the song.</summary>
    /// <exception cref="StemException">A file changed or failed while it was read.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static NullTest Measure(IReadOnlyList<SongStem> stems, IStemReader reference, int threads, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(stems);
        ArgumentNullException.ThrowIfNull(reference);
        var rate = reference.Format.SampleRateHz;
        var songFrames = stems.Where(stem => !stem.IsMuted).Select(stem => stem.EndFrame).DefaultIfEmpty(0).Max();
        var seconds = (int)((Math.Max(songFrames, reference.Format.LengthFrames) + rate - 1) / rate);
        var sums = new Second[seconds];
        Parallelly.For(seconds, threads, () => new Room(stems, reference, rate), (second, room) => sums[second] = room.Measure((long)second * rate), cancellation);

        Second all = default;
        var worst = 0;
        for (var second = 0; second < seconds; second++)
        {
            all = all.Plus(sums[second]);
            worst = sums[second].Residual > sums[worst].Residual ? second : worst;
        }

        var gain = all.Sum > 0 && all.Common > 0 ? all.Common / all.Sum : 0;
        return new(
            Db(all.Residual, all.Reference), Math.Max(FloorDb, Decibels.FromAmplitude(all.Peak)), worst, Db(seconds == 0 ? 0 : sums[worst].Residual * seconds, all.Reference),
            gain > 0 ? Decibels.FromAmplitude(gain) : null, Db(Math.Max(0, all.Reference - (gain * all.Common)), all.Reference),
            (reference.Format.LengthFrames - songFrames) / (double)rate);
    }

    private static double Db(double power, double reference) =>
        reference <= 0 ? power > 0 ? -FloorDb : FloorDb : Math.Max(FloorDb, Decibels.FromPower(power / reference));

    private readonly record struct Second(double Residual, double Reference, double Sum, double Common, double Peak)
    {
        public Second Plus(Second other) =>
            new(Residual + other.Residual, Reference + other.Reference, Sum + other.Sum, Common + other.Common, Math.Max(Peak, other.Peak));
    }

    private sealed class Room(IReadOnlyList<SongStem> stems, IStemReader reference, int frames)
    {
        private readonly Signal _mono = Signal.Allocate(1, frames), _stereo = Signal.Allocate(2, frames), _sum = Signal.Allocate(2, frames);

        public Second Measure(long startFrame)
        {
            _sum.Clear();
            foreach (var stem in stems.Where(stem => !stem.IsMuted))
            {
                var part = stem.Reader.Format.Channels == 1 ? _mono : _stereo;
                stem.Read(startFrame, part);
                for (var channel = 0; channel < 2; channel++)
                    Planes.AddScaled(part[Math.Min(channel, part.Channels - 1)], 1, _sum[channel]);
            }

            var mix = reference.Format.Channels == 1 ? _mono : _stereo;
            reference.Read(startFrame, mix);
            double residual = 0, power = 0, sum = 0, common = 0, peak = 0;
            for (var channel = 0; channel < 2; channel++)
            {
                var plane = _sum[channel];
                var mixed = mix[Math.Min(channel, mix.Channels - 1)];
                for (var frame = 0; frame < plane.Length; frame++)
                {
                    var left = plane[frame] - mixed[frame];
                    residual += left * left;
                    power += mixed[frame] * mixed[frame];
                    sum += plane[frame] * plane[frame];
                    common += plane[frame] * mixed[frame];
                    peak = Math.Max(peak, Math.Abs(left));
                }
            }

            return new(residual, power, sum, common, peak);
        }
    }
}
