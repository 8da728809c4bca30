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
    private readonly double[] _samples;
    private readonly int[] _centres;

    // For each plane and weight: where the pair's two samples lie for the first frame.
    private readonly int[] _earlier;
    private readonly int[] _later;

    /// <param name="weights">By <see cref="HalfBand.Design"/>.</param>
    /// <param name="samples">Where the planes lie.</param>
    /// <param name="origins">For each plane: the sample in it that the first result is counted with.</param>
    /// <param name="isAfter">Results lie half a sample after the samples they are counted with (to double the rate), else before (to halve it).</param>
    /// <param name="centres">For each plane: the sample that half is added of to the first result; empty: nothing is added.</param>
    public FoldedFilter(double[] weights, double[] samples, int[] origins, bool isAfter, int[] centres)
    {
        (_weights, _samples, _centres) = (weights, samples, centres);
        var shift = isAfter ? 1 : 0;
        _earlier = new int[origins.Length * weights.Length];
        _later = new int[origins.Length * weights.Length];
        for (var plane = 0; plane < origins.Length; plane++)
        {
            for (var index = 0; index < weights.Length; index++)
            {
                var pair = weights.Length - 1 - index;
                _earlier[(plane * weights.Length) + index] = Place(plane + shift - 1 - pair);
                _later[(plane * weights.Length) + index] = Place(plane + shift + pair);
            }
        }

        int Place(int sample)
        {
            var frame = FloorDivide(sample, origins.Length);
            return origins[sample - (frame * origins.Length)] + frame;
        }
    }

    /// <summary>By how many frames results lie behind the samples taken in.</summary>
    public static int DelayFrames(int weightCount, int planeCount, bool isAfter) => -FloorDivide(isAfter ? -weightCount : 1 - weightCount, planeCount);

    /// <summary>How many frames before the newest ones the outermost taps reach.</summary>
    public static int PastFrames(int weightCount, int planeCount, bool isAfter) =>
        DelayFrames(weightCount, planeCount, isAfter) - FloorDivide((isAfter ? 1 : 0) - weightCount, planeCount);

    /// <summary>The results that are counted with a plane.</summary>
    public void Sum(int plane, Span<double> target)
    {
        var done = 0;
        if (Vector512.IsHardwareAccelerated)
            done = Sum<Lanes8>(plane, target, done);
        else if (Vector256.IsHardwareAccelerated)
            done = Sum<Lanes4>(plane, target, done);
        else if (Vector128.IsHardwareAccelerated)
            done = Sum<Lanes2>(plane, target, done);
        Sum<Lanes1>(plane, target, done);
    }

    // Many results on their way together: they share each weight, and a sum has to wait for its last addition. Then what is left.
    private int Sum<T>(int plane, Span<double> target, int frame)
        where T : unmanaged, IFormulaLanes<T>
    {
        var count = _weights.Length;
        ref var weights = ref MemoryMarshal.GetArrayDataReference(_weights);
        ref var earlier = ref Unsafe.Add(ref MemoryMarshal.GetArrayDataReference(_earlier), plane * count);
        ref var later = ref Unsafe.Add(ref MemoryMarshal.GetArrayDataReference(_later), plane * count);
        ref var samples = ref MemoryMarshal.GetArrayDataReference(_samples);
        ref var into = ref MemoryMarshal.GetReference(target);
        for (; frame <= target.Length - (8 * T.Count); frame += 8 * T.Count)
        {
            var (a, b) = (First<T>(plane, frame), First<T>(plane, frame + T.Count));
            var (c, d) = (First<T>(plane, frame + (2 * T.Count)), First<T>(plane, frame + (3 * T.Count)));
            var (e, f) = (First<T>(plane, frame + (4 * T.Count)), First<T>(plane, frame + (5 * T.Count)));
            var (g, h) = (First<T>(plane, frame + (6 * T.Count)), First<T>(plane, frame + (7 * T.Count)));
            for (var index = 0; index < count; index++)
            {
                var weight = T.All(Unsafe.Add(ref weights, index));
                ref var left = ref Unsafe.Add(ref samples, Unsafe.Add(ref earlier, index) + frame);
                ref var right = ref Unsafe.Add(ref samples, Unsafe.Add(ref later, index) + frame);
                a += weight * (T.Load(ref left, 0) + T.Load(ref right, 0));
                b += weight * (T.Load(ref left, T.Count) + T.Load(ref right, T.Count));
                c += weight * (T.Load(ref left, 2 * T.Count) + T.Load(ref right, 2 * T.Count));
                d += weight * (T.Load(ref left, 3 * T.Count) + T.Load(ref right, 3 * T.Count));
                e += weight * (T.Load(ref left, 4 * T.Count) + T.Load(ref right, 4 * T.Count));
                f += weight * (T.Load(ref left, 5 * T.Count) + T.Load(ref right, 5 * T.Count));
                g += weight * (T.Load(ref left, 6 * T.Count) + T.Load(ref right, 6 * T.Count));
                h += weight * (T.Load(ref left, 7 * T.Count) + T.Load(ref right, 7 * T.Count));
            }

            T.Store(a, ref into, frame);
            T.Store(b, ref into, frame + T.Count);
            T.Store(c, ref into, frame + (2 * T.Count));
            T.Store(d, ref into, frame + (3 * T.Count));
            T.Store(e, ref into, frame + (4 * T.Count));
            T.Store(f, ref into, frame + (5 * T.Count));
            T.Store(g, ref into, frame + (6 * T.Count));
            T.Store(h, ref into, frame + (7 * T.Count));
        }

        for (; frame <= target.Length - T.Count; frame += T.Count)
        {
            var sum = First<T>(plane, frame);
            for (var index = 0; index < count; index++)
            {
                sum += T.All(Unsafe.Add(ref weights, index))
                    * (T.Load(ref samples, Unsafe.Add(ref earlier, index) + frame) + T.Load(ref samples, Unsafe.Add(ref later, index) + frame));
            }

            T.Store(sum, ref into, frame);
        }

        return frame;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private T First<T>(int plane, int frame)
        where T : unmanaged, IFormulaLanes<T> =>
        _centres.Length == 0 ? T.All(0) : T.All(0.5) * T.Load(ref MemoryMarshal.GetArrayDataReference(_samples), _centres[plane] + frame);

    private static int FloorDivide(int value, int divisor) => (int)Math.Floor((double)value / divisor);
}
