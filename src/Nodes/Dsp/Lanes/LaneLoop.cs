using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>Runs a formula over many numbers, in as many lanes as the machine has; the bits do not depend on how many those are.</summary>
internal static class LaneLoop
{
    /// <summary><paramref name="target"/> may be <paramref name="source"/> itself, but no other overlap is allowed.</summary>
    public static void Map<TFunction>(TFunction function, ReadOnlySpan<double> source, Span<double> target)
        where TFunction : struct, ILaneFunction
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(target.Length, source.Length, nameof(target));
        ref var from = ref MemoryMarshal.GetReference(source);
        ref var to = ref MemoryMarshal.GetReference(target);

        var done = 0;
        if (Vector512.IsHardwareAccelerated)
            done = Run<TFunction, Lanes8>(function, ref from, ref to, done, source.Length);
        else if (Vector256.IsHardwareAccelerated)
            done = Run<TFunction, Lanes4>(function, ref from, ref to, done, source.Length);
        else if (Vector128.IsHardwareAccelerated)
            done = Run<TFunction, Lanes2>(function, ref from, ref to, done, source.Length);

        Run<TFunction, Lanes1>(function, ref from, ref to, done, source.Length);
    }

    // Only as far as the lanes can be filled; answers where it stopped.
    private static int Run<TFunction, T>(TFunction function, ref double from, ref double to, int index, int end)
        where TFunction : struct, ILaneFunction
        where T : unmanaged, IFormulaLanes<T>
    {
        for (; index <= end - T.Count; index += T.Count)
            T.Store(function.Apply(T.Load(ref from, index)), ref to, index);
        return index;
    }
}
