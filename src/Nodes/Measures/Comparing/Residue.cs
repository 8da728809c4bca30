using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Comparing;

/// <summary>What is left when one signal is taken from another, as they are and at the gain at which least is left. The gain is one for all channels.</summary>
internal sealed class Residue
{
    private readonly Sums[] _channels = new Sums[2];

    private Sums All => _channels[0].Plus(_channels[1]);

    /// <summary>Hears both; a mono signal beside a stereo one is on both sides.</summary>
    public void Hear(Signal ours, Signal other)
    {
        for (var channel = 0; channel < Math.Max(ours.Channels, other.Channels); channel++)
            _channels[channel].Add(ours[Math.Min(channel, ours.Channels - 1)], other[Math.Min(channel, other.Channels - 1)]);
    }

    /// <summary>What is left, over the other signal; null if that is silent.</summary>
    public double? Db => All is { Other: > 0 } all ? Level(all.Left / all.Other) : null;

    /// <summary>The gain of the other at which least is left, below 0 if it is upside down; null if they have nothing in common.</summary>
    public double? BestGain => All is { Other: > 0 } all && all.Other + all.LeftOther is not 0 and var common ? common / all.Other : null;

    /// <summary>What is left then, over the signal; null if either is silent.</summary>
    public double? AtBestGainDb => All is { Other: > 0, Ours: > 0 } all ? Level(Math.Max(0, all.Left - (all.LeftOther * all.LeftOther / all.Other)) / all.Ours) : null;

    private static double Level(double ratio) => Math.Max(SongComparer.NothingLeftDb, Decibels.FromPower(ratio));

    /// <summary>Frame by frame, so that no sum depends on how the frames are cut into blocks. With left = ours - other they stay exact where the two are nearly the same.</summary>
    private struct Sums
    {
        public double Ours, Other, Left, LeftOther;

        public void Add(ReadOnlySpan<double> ours, ReadOnlySpan<double> other)
        {
            var (power, otherPower, left, leftOther) = (Ours, Other, Left, LeftOther);
            for (var frame = 0; frame < ours.Length; frame++)
            {
                var difference = ours[frame] - other[frame];
                power += ours[frame] * ours[frame];
                otherPower += other[frame] * other[frame];
                left += difference * difference;
                leftOther += difference * other[frame];
            }

            (Ours, Other, Left, LeftOther) = (power, otherPower, left, leftOther);
        }

        public readonly Sums Plus(Sums more) => new() { Ours = Ours + more.Ours, Other = Other + more.Other, Left = Left + more.Left, LeftOther = LeftOther + more.LeftOther };
    }
}
