using System.Runtime.InteropServices;

namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>
/// Where samples lie in lanes while they are worked on. Each thread has its own and uses it again and again, so it stays in the nearest cache; what a filter keeps
/// from block to block goes from one core to the next, and is small.
/// </summary>
internal static class LaneScratch
{
    private const int Slots = 2;
    private const int SlotSamples = SectionBank.FlushFrames * SectionBank.WidestLanes;
    private const int AlignedSamples = 64 / sizeof(double);

    [ThreadStatic]
    private static double[]? samples;

    [ThreadStatic]
    private static int offset;

    /// <summary>Room for so many samples, leftovers in it, good until the slot is asked for again by the same thread.</summary>
    /// <param name="slot">0 or 1.</param>
    public static Span<double> Of(int slot, int count) => (samples ?? Allocate()).AsSpan(offset + (slot * SlotSamples), count);

    private static double[] Allocate()
    {
        samples = GC.AllocateArray<double>((Slots * SlotSamples) + AlignedSamples, pinned: true);
        var past = (int)(Marshal.UnsafeAddrOfPinnedArrayElement(samples, 0) % 64) / sizeof(double);
        offset = (AlignedSamples - past) % AlignedSamples;
        return samples;
    }
}
