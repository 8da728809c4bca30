using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp;

/// <summary>The sum of a plane's squared samples, in eight lanes by their place in the song: the blocks that they come in change no bit.</summary>
public sealed class PlaneEnergy
{
    private const int LaneCount = 8;

    private readonly double[] _lanes = new double[LaneCount];
    private long _count;

    /// <summary>The sum.</summary>
    public double Value
    {
        get
        {
            var sum = 0.0;
            foreach (var lane in _lanes)
                sum += lane;
            return sum;
        }
    }

    /// <summary>Adds the next samples.</summary>
    public void Add(ReadOnlySpan<double> samples)
    {
        var single = (int)Math.Min((LaneCount - (_count % LaneCount)) % LaneCount, samples.Length);
        AddEach(samples[..single]);
        var fours = MemoryMarshal.Cast<double, Vector256<double>>(samples[single..]);
        var (first, second) = (Vector256.Create<double>(_lanes), Vector256.Create<double>(_lanes, 4));
        var index = 0;
        for (; index + 1 < fours.Length; index += 2)
        {
            first += fours[index] * fours[index];
            second += fours[index + 1] * fours[index + 1];
        }

        first.CopyTo(_lanes);
        second.CopyTo(_lanes, 4);
        _count += 4 * index;
        AddEach(samples[(single + (4 * index))..]);
    }

    /// <summary>Passes over so many samples that are 0.</summary>
    public void Skip(int samples) => _count += samples;

    private void AddEach(ReadOnlySpan<double> samples)
    {
        foreach (var sample in samples)
            _lanes[_count++ % LaneCount] += sample * sample;
    }
}
