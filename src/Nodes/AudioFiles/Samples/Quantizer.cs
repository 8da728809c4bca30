using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>
/// Samples to integers: times 2^(bits-1), dithered, to the nearest (ties to even), held inside the range.
/// A sample that is a whole number of steps already is stored as it is, without dither: there is nothing to round. So silence stays
/// silence, and a stem that passes through unchanged comes out with its own bits.
/// </summary>
/// <param name="bits">16, 24 or 32.</param>
internal readonly struct Quantizer(int bits)
{
    /// <summary>Steps of full scale: 2^(bits-1).</summary>
    private readonly double _fullScale = 1L << (bits - 1);

    /// <summary>
    /// Rounds one channel's samples. Returns how many were clipped: those that, rounded without dither, lie past full scale on either
    /// side. +1 itself is held one step below, where the range ends, and is no clip.
    /// </summary>
    /// <param name="frame">Lower half of the first frame's number; all frames share the upper half.</param>
    public int Round(ReadOnlySpan<double> samples, Span<int> into, Dither dither, uint frame)
    {
        var done = 0;
        var clipped = Vector256.IsHardwareAccelerated ? RoundFours(samples, into, dither, frame, ref done) : 0;
        return clipped + RoundOnes(samples[done..], into[done..], dither, frame + (uint)done);
    }

    /// <summary>One by one.</summary>
    internal int RoundOnes(ReadOnlySpan<double> samples, Span<int> into, Dither dither, uint frame)
    {
        var clipped = 0;
        for (var i = 0; i < samples.Length; i++)
        {
            var steps = samples[i] * _fullScale;
            var plain = Math.Round(steps, MidpointRounding.ToEven);
            if (Math.Abs(plain) > _fullScale) clipped++;
            var noise = plain == steps ? 0 : dither.At(frame + (uint)i);
            into[i] = (int)Math.Min(Math.Max(Math.Round(steps + noise, MidpointRounding.ToEven), -_fullScale), _fullScale - 1);
        }

        return clipped;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private int RoundFours(ReadOnlySpan<double> samples, Span<int> into, Dither dither, uint frame, ref int done)
    {
        ref var from = ref MemoryMarshal.GetReference(samples);
        ref var to = ref MemoryMarshal.GetReference(into[..samples.Length]);
        var fullScale = Vector256.Create(_fullScale);
        var highest = Vector256.Create(_fullScale - 1);
        var frames = Vector128.Create(frame) + Vector128.Create(0u, 1, 2, 3);
        var clipped = 0;
        var i = 0;
        for (; i <= samples.Length - 4; i += 4)
        {
            var steps = Vector256.LoadUnsafe(ref from, (nuint)i) * fullScale;
            var plain = Vector256.Round(steps); // ties to even; with the rule spelled out it would be a call
            clipped += BitOperations.PopCount(Vector256.GreaterThan(Vector256.Abs(plain), fullScale).ExtractMostSignificantBits());
            var noise = Vector256.ConditionalSelect(Vector256.Equals(plain, steps), Vector256<double>.Zero, dither.At(frames));
            var rounded = Vector256.Round(steps + noise);
            Fours.ToInt32(Vector256.MinNative(Vector256.MaxNative(rounded, -fullScale), highest)).StoreUnsafe(ref to, (nuint)i);
            frames += Vector128.Create(4u);
        }

        done = i;
        return clipped;
    }
}
