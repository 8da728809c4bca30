using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using RenderGraph.Nodes.Dsp.Lanes;

namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// The taps of a half-band filter that lie between the samples of a signal, run over that signal. It is kept as planes: a signal of planeCount samples a
/// frame has its first sample of every frame in plane 0, the next in plane 1, and so on; so each tap reads samples that lie side by side.
/// Each result is summed from the outermost pair to the innermost, in whatever lanes, so it has the same bits in all.
/// </summary>
internal sealed class FoldedFilter
{
    private readonly double[] _weights;
    private readonly int _planeCount;
    private readonly int _stride;
    private readonly int _pastFrames;
    private readonly double[] _samples;

    // For each plane and weight: where the pair's two samples lie for frame 0 of the block.
    private readonly int[] _earlier;
    private readonly int[] _later;

    /// <param name="weights">By <see cref="HalfBand.Design"/>.</param>
    /// <param name="isAfter">Results lie half a sample after the samples they are counted with (to double the rate), else before (to halve it).</param>
    public FoldedFilter(double[] weights, int planeCount, bool isAfter, int maxFrames)
    {
        (_weights, _planeCount) = (weights, planeCount);
        var shift = isAfter ? 1 : 0;
        DelayFrames = Delay(weights.Length, planeCount, isAfter);
        _pastFrames = DelayFrames - FloorDivide(shift - weights.Length, planeCount);
        _stride = _pastFrames + maxFrames;
        _samples = new double[planeCount * _stride];

        _earlier = new int[planeCount * weights.Length];
        _later = new int[planeCount * weights.Length];
        for (var plane = 0; plane < planeCount; plane++)
        {
            for (var index = 0; index < weights.Length; index++)
            {
                var pair = weights.Length - 1 - index;
                _earlier[(plane * weights.Length) + index] = Place(plane + shift - 1 - pair);
                _later[(plane * weights.Length) + index] = Place(plane + shift + pair);
            }
        }
    }

    /// <summary>By how many frames results lie behind the samples taken in.</summary>
    public int DelayFrames { get; }

    /// <summary><see cref="DelayFrames"/> of a filter with so many weights.</summary>
    public static int Delay(int weightCount, int planeCount, bool isAfter) => -FloorDivide(isAfter ? -weightCount : 1 - weightCount, planeCount);

    /// <summary>The newest frames of a plane, to be written before <see cref="Sum"/>.</summary>
    public Span<double> Newest(int plane, int frames) => _samples.AsSpan((plane * _stride) + _pastFrames, frames);

    /// <summary>The frames of a plane that go with the results, as they came in.</summary>
    public ReadOnlySpan<double> Aligned(int plane, int frames) => _samples.AsSpan((plane * _stride) + _pastFrames - DelayFrames, frames);

    /// <summary>The results that are counted with a plane.</summary>
    public void Sum(int plane, Span<double> target)
    {
        var first = plane * _weights.Length;
        ReadOnlySpan<int> earlier = _earlier.AsSpan(first, _weights.Length);
        ReadOnlySpan<int> later = _later.AsSpan(first, _weights.Length);
        ref var samples = ref MemoryMarshal.GetArrayDataReference(_samples);

        var done = 0;
        if (Vector512.IsHardwareAccelerated)
            done = Sum<Lanes8>(earlier, later, ref samples, target, done);
        else if (Vector256.IsHardwareAccelerated)
            done = Sum<Lanes4>(earlier, later, ref samples, target, done);
        Sum<Lanes1>(earlier, later, ref samples, target, done);
    }

    /// <summary>Keeps what later results need.</summary>
    public void Advance(int frames)
    {
        for (var plane = 0; plane < _planeCount; plane++)
        {
            var line = _samples.AsSpan(plane * _stride, _stride);
            line.Slice(frames, _pastFrames).CopyTo(line);
        }
    }

    // Four results on their way together, as a sum has to wait for its last addition; then what is left, one by one.
    private int Sum<T>(ReadOnlySpan<int> earlier, ReadOnlySpan<int> later, ref double samples, Span<double> target, int frame)
        where T : unmanaged, IFormulaLanes<T>
    {
        var weights = _weights.AsSpan();
        ref var into = ref MemoryMarshal.GetReference(target);
        for (; frame <= target.Length - (4 * T.Count); frame += 4 * T.Count)
        {
            var (a, b, c, d) = (T.All(0), T.All(0), T.All(0), T.All(0));
            for (var index = 0; index < weights.Length; index++)
            {
                var weight = T.All(weights[index]);
                ref var left = ref Unsafe.Add(ref samples, earlier[index] + frame);
                ref var right = ref Unsafe.Add(ref samples, later[index] + frame);
                a += weight * (T.Load(ref left, 0) + T.Load(ref right, 0));
                b += weight * (T.Load(ref left, T.Count) + T.Load(ref right, T.Count));
                c += weight * (T.Load(ref left, 2 * T.Count) + T.Load(ref right, 2 * T.Count));
                d += weight * (T.Load(ref left, 3 * T.Count) + T.Load(ref right, 3 * T.Count));
            }

            T.Store(a, ref into, frame);
            T.Store(b, ref into, frame + T.Count);
            T.Store(c, ref into, frame + (2 * T.Count));
            T.Store(d, ref into, frame + (3 * T.Count));
        }

        for (; frame <= target.Length - T.Count; frame += T.Count)
        {
            var sum = T.All(0);
            for (var index = 0; index < weights.Length; index++)
            {
                sum += T.All(weights[index])
                    * (T.Load(ref samples, earlier[index] + frame) + T.Load(ref samples, later[index] + frame));
            }

            T.Store(sum, ref into, frame);
        }

        return frame;
    }

    private int Place(int sample)
    {
        var frame = FloorDivide(sample, _planeCount);
        return ((sample - (frame * _planeCount)) * _stride) + _pastFrames - DelayFrames + frame;
    }

    private static int FloorDivide(int value, int divisor) => (int)Math.Floor((double)value / divisor);
}
