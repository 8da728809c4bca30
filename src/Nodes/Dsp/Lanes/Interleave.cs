using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>
/// Moves samples between planes and lanes: in lanes the samples of one frame lie together, <c>laneCount</c> a frame. Four planes go at a time, four frames
/// at once; only places change, never a bit.
/// </summary>
internal static class Interleave
{
    /// <summary>Puts one plane into one lane.</summary>
    public static void Into(Span<double> lanes, int laneCount, int lane, ReadOnlySpan<double> plane)
    {
        for (int frame = 0, at = lane; frame < plane.Length; frame++, at += laneCount)
            lanes[at] = plane[frame];
    }

    /// <summary>Takes one plane out of one lane.</summary>
    public static void OutOf(ReadOnlySpan<double> lanes, int laneCount, int lane, Span<double> plane)
    {
        for (int frame = 0, at = lane; frame < plane.Length; frame++, at += laneCount)
            plane[frame] = lanes[at];
    }

    /// <summary>Puts two planes of equal length into two neighbouring lanes.</summary>
    public static void TwoInto(Span<double> lanes, int laneCount, int lane, ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        var done = 0;
        if (Avx.IsSupported)
        {
            b = b[..a.Length];
            _ = lanes[..(a.Length * laneCount)];
            ref var into = ref MemoryMarshal.GetReference(lanes);
            for (; done + 4 <= a.Length; done += 4)
            {
                var (planeA, planeB) = (Load(a, done), Load(b, done));
                var (even, odd) = (Avx.UnpackLow(planeA, planeB), Avx.UnpackHigh(planeA, planeB));
                ref var at = ref Unsafe.Add(ref into, (done * laneCount) + lane);
                even.GetLower().StoreUnsafe(ref at);
                odd.GetLower().StoreUnsafe(ref at, (nuint)laneCount);
                even.GetUpper().StoreUnsafe(ref at, (nuint)(2 * laneCount));
                odd.GetUpper().StoreUnsafe(ref at, (nuint)(3 * laneCount));
            }
        }

        var rest = lanes[(done * laneCount)..];
        Into(rest, laneCount, lane, a[done..]);
        Into(rest, laneCount, lane + 1, b[done..]);
    }

    /// <summary>Takes two planes of equal length out of two neighbouring lanes.</summary>
    public static void TwoOutOf(ReadOnlySpan<double> lanes, int laneCount, int lane, Span<double> a, Span<double> b)
    {
        var done = 0;
        if (Avx.IsSupported)
        {
            b = b[..a.Length];
            _ = lanes[..(a.Length * laneCount)];
            ref var from = ref MemoryMarshal.GetReference(lanes);
            for (; done + 4 <= a.Length; done += 4)
            {
                ref var at = ref Unsafe.Add(ref from, (done * laneCount) + lane);
                var even = Vector256.Create(Vector128.LoadUnsafe(ref at), Vector128.LoadUnsafe(ref at, (nuint)(2 * laneCount)));
                var odd = Vector256.Create(Vector128.LoadUnsafe(ref at, (nuint)laneCount), Vector128.LoadUnsafe(ref at, (nuint)(3 * laneCount)));
                Store(Avx.UnpackLow(even, odd), a, done);
                Store(Avx.UnpackHigh(even, odd), b, done);
            }
        }

        var rest = lanes[(done * laneCount)..];
        OutOf(rest, laneCount, lane, a[done..]);
        OutOf(rest, laneCount, lane + 1, b[done..]);
    }

    /// <summary>Puts four planes of equal length into four neighbouring lanes.</summary>
    public static void FourInto(
        Span<double> lanes, int laneCount, int lane,
        ReadOnlySpan<double> a, ReadOnlySpan<double> b, ReadOnlySpan<double> c, ReadOnlySpan<double> d)
    {
        var done = 0;
        if (Avx.IsSupported)
        {
            // Spans of equal length, and lanes for as many frames: checked once, not in the loop.
            b = b[..a.Length];
            c = c[..a.Length];
            d = d[..a.Length];
            _ = lanes[..(a.Length * laneCount)];
            ref var into = ref MemoryMarshal.GetReference(lanes);
            for (; done + 4 <= a.Length; done += 4)
            {
                var (frame0, frame1, frame2, frame3) = Transpose(Load(a, done), Load(b, done), Load(c, done), Load(d, done));
                ref var at = ref Unsafe.Add(ref into, (done * laneCount) + lane);
                frame0.StoreUnsafe(ref at);
                frame1.StoreUnsafe(ref at, (nuint)laneCount);
                frame2.StoreUnsafe(ref at, (nuint)(2 * laneCount));
                frame3.StoreUnsafe(ref at, (nuint)(3 * laneCount));
            }
        }

        var rest = lanes[(done * laneCount)..];
        Into(rest, laneCount, lane, a[done..]);
        Into(rest, laneCount, lane + 1, b[done..]);
        Into(rest, laneCount, lane + 2, c[done..]);
        Into(rest, laneCount, lane + 3, d[done..]);
    }

    /// <summary>Takes four planes of equal length out of four neighbouring lanes.</summary>
    public static void FourOutOf(
        ReadOnlySpan<double> lanes, int laneCount, int lane, Span<double> a, Span<double> b, Span<double> c, Span<double> d)
    {
        var done = 0;
        if (Avx.IsSupported)
        {
            b = b[..a.Length];
            c = c[..a.Length];
            d = d[..a.Length];
            _ = lanes[..(a.Length * laneCount)];
            ref var from = ref MemoryMarshal.GetReference(lanes);
            for (; done + 4 <= a.Length; done += 4)
            {
                ref var at = ref Unsafe.Add(ref from, (done * laneCount) + lane);
                var (planeA, planeB, planeC, planeD) = Transpose(
                    Vector256.LoadUnsafe(ref at), Vector256.LoadUnsafe(ref at, (nuint)laneCount),
                    Vector256.LoadUnsafe(ref at, (nuint)(2 * laneCount)), Vector256.LoadUnsafe(ref at, (nuint)(3 * laneCount)));
                Store(planeA, a, done);
                Store(planeB, b, done);
                Store(planeC, c, done);
                Store(planeD, d, done);
            }
        }

        var rest = lanes[(done * laneCount)..];
        OutOf(rest, laneCount, lane, a[done..]);
        OutOf(rest, laneCount, lane + 1, b[done..]);
        OutOf(rest, laneCount, lane + 2, c[done..]);
        OutOf(rest, laneCount, lane + 3, d[done..]);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<double> Load(ReadOnlySpan<double> plane, int frame) =>
        Vector256.LoadUnsafe(ref Unsafe.Add(ref MemoryMarshal.GetReference(plane), frame));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Store(Vector256<double> samples, Span<double> plane, int frame) =>
        samples.StoreUnsafe(ref Unsafe.Add(ref MemoryMarshal.GetReference(plane), frame));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static (Vector256<double> First, Vector256<double> Second, Vector256<double> Third, Vector256<double> Fourth) Transpose(
        Vector256<double> a, Vector256<double> b, Vector256<double> c, Vector256<double> d)
    {
        var (evenAb, oddAb) = (Avx.UnpackLow(a, b), Avx.UnpackHigh(a, b));
        var (evenCd, oddCd) = (Avx.UnpackLow(c, d), Avx.UnpackHigh(c, d));
        return (
            Avx.Permute2x128(evenAb, evenCd, 0x20), Avx.Permute2x128(oddAb, oddCd, 0x20),
            Avx.Permute2x128(evenAb, evenCd, 0x31), Avx.Permute2x128(oddAb, oddCd, 0x31));
    }
}
