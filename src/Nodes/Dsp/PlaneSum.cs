using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp;

/// <summary>The sum of a plane's samples, or of their squares, in four lanes by their place: the blocks that they come in change no bit.</summary>
public sealed class PlaneSum
{
    private readonly double[] _lanes = new double[4];

    /// <summary>Samples added.</summary>
    public long Count { get; private set; }

    /// <summary>Their sum.</summary>
    public double Value => _lanes[0] + _lanes[1] + (_lanes[2] + _lanes[3]);

    /// <summary>Adds the next samples.</summary>
    public void Add(ReadOnlySpan<double> samples)
    {
        var single = (int)Math.Min((4 - (Count % 4)) % 4, samples.Length);
        AddEach(samples[..single]);
        var fours = MemoryMarshal.Cast<double, Vector256<double>>(samples[single..]);
        var sums = Vector256.Create<double>(_lanes);
        foreach (var four in fours)
            sums += four;
        sums.CopyTo(_lanes);
        Count += 4 * fours.Length;
        AddEach(samples[(single + (4 * fours.Length))..]);
    }

    /// <summary>Adds the squares of the next samples.</summary>
    public void AddSquares(ReadOnlySpan<double> samples)
    {
        var single = (int)Math.Min((4 - (Count % 4)) % 4, samples.Length);
        foreach (var sample in samples[..single])
            _lanes[Count++ % 4] += sample * sample;
        var fours = MemoryMarshal.Cast<double, Vector256<double>>(samples[single..]);
        var sums = Vector256.Create<double>(_lanes);
        foreach (var four in fours)
            sums += four * four;
        sums.CopyTo(_lanes);
        Count += 4 * fours.Length;
        foreach (var sample in samples[(single + (4 * fours.Length))..])
            _lanes[Count++ % 4] += sample * sample;
    }

    private void AddEach(ReadOnlySpan<double> samples)
    {
        foreach (var sample in samples)
            _lanes[Count++ % 4] += sample;
    }
}
