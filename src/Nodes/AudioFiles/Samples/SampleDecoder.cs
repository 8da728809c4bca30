using System.Buffers.Binary;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>
/// Stored bytes to planes of double: an integer is divided by 2^(bits-1), which is exact, as 32 bits fit into 53, and multiplied by the
/// stem's gain. Both are one multiplication, to the same bits, since the first factor is a power of two.
/// Four frames at a time where the processor can; the rest, and the processor that cannot, go one by one to the same bits.
/// </summary>
internal static class SampleDecoder
{
    /// <summary>Bytes that a buffer must go on for after its last frame.</summary>
    public const int SlackBytes = 16;

    /// <summary>Fills <paramref name="into"/> from interleaved frames, times <paramref name="amplitude"/>.</summary>
    public static void Decode(StoredSamples stored, ReadOnlySpan<byte> bytes, double amplitude, Signal into)
    {
        switch (stored)
        {
            case StoredSamples.Unsigned8: Decode<StoredUnsigned8>(bytes, amplitude, into); break;
            case StoredSamples.Pcm16: Decode<StoredPcm16>(bytes, amplitude, into); break;
            case StoredSamples.Pcm24: Decode<StoredPcm24>(bytes, amplitude, into); break;
            case StoredSamples.Pcm32: Decode<StoredPcm32>(bytes, amplitude, into); break;
            case StoredSamples.Float32: Decode<StoredFloat32>(bytes, amplitude, into); break;
            case StoredSamples.Signed8: Decode<StoredSigned8>(bytes, amplitude, into); break;
            case StoredSamples.Pcm16Big: Decode<BigEndian<StoredPcm16>>(bytes, amplitude, into); break;
            case StoredSamples.Pcm24Big: Decode<BigEndian<StoredPcm24>>(bytes, amplitude, into); break;
            case StoredSamples.Pcm32Big: Decode<BigEndian<StoredPcm32>>(bytes, amplitude, into); break;
            case StoredSamples.Float32Big: Decode<BigEndian<StoredFloat32>>(bytes, amplitude, into); break;
            case StoredSamples.ALaw: Decode<StoredALaw>(bytes, amplitude, into); break;
            case StoredSamples.MuLaw: Decode<StoredMuLaw>(bytes, amplitude, into); break;
            default:
                for (var channel = 0; channel < into.Channels; channel++)
                    DecodeFloat64(stored, bytes, into.Channels, channel, amplitude, into[channel]);
                break;
        }
    }

    /// <summary>One of any number of channels, times <paramref name="amplitude"/>.</summary>
    public static void DecodeChannel(StoredSamples stored, ReadOnlySpan<byte> bytes, int channels, int channel, double amplitude, Span<double> into)
    {
        switch (stored)
        {
            case StoredSamples.Unsigned8: DecodeOnes<StoredUnsigned8>(bytes, channels, channel, amplitude, into, 0); break;
            case StoredSamples.Pcm16: DecodeOnes<StoredPcm16>(bytes, channels, channel, amplitude, into, 0); break;
            case StoredSamples.Pcm24: DecodeOnes<StoredPcm24>(bytes, channels, channel, amplitude, into, 0); break;
            case StoredSamples.Pcm32: DecodeOnes<StoredPcm32>(bytes, channels, channel, amplitude, into, 0); break;
            case StoredSamples.Float32: DecodeOnes<StoredFloat32>(bytes, channels, channel, amplitude, into, 0); break;
            case StoredSamples.Signed8: DecodeOnes<StoredSigned8>(bytes, channels, channel, amplitude, into, 0); break;
            case StoredSamples.Pcm16Big: DecodeOnes<BigEndian<StoredPcm16>>(bytes, channels, channel, amplitude, into, 0); break;
            case StoredSamples.Pcm24Big: DecodeOnes<BigEndian<StoredPcm24>>(bytes, channels, channel, amplitude, into, 0); break;
            case StoredSamples.Pcm32Big: DecodeOnes<BigEndian<StoredPcm32>>(bytes, channels, channel, amplitude, into, 0); break;
            case StoredSamples.Float32Big: DecodeOnes<BigEndian<StoredFloat32>>(bytes, channels, channel, amplitude, into, 0); break;
            case StoredSamples.ALaw: DecodeOnes<StoredALaw>(bytes, channels, channel, amplitude, into, 0); break;
            case StoredSamples.MuLaw: DecodeOnes<StoredMuLaw>(bytes, channels, channel, amplitude, into, 0); break;
            default: DecodeFloat64(stored, bytes, channels, channel, amplitude, into); break;
        }
    }

    /// <summary>The first frame that holds what is no finite number, or -1.</summary>
    public static int FirstNotFinite(Signal signal)
    {
        var first = -1;
        for (var channel = 0; channel < signal.Channels; channel++)
        {
            var found = FirstNotFinite(signal[channel]);
            if (found >= 0 && (first < 0 || found < first)) first = found;
        }

        return first;
    }

    /// <summary>One by one.</summary>
    internal static void DecodeOnes<T>(ReadOnlySpan<byte> bytes, double amplitude, Signal into, int fromFrame)
        where T : struct, IStoredSample
    {
        for (var channel = 0; channel < into.Channels; channel++)
            DecodeOnes<T>(bytes, into.Channels, channel, amplitude, into[channel], fromFrame);
    }

    private static void DecodeOnes<T>(ReadOnlySpan<byte> bytes, int channels, int channel, double amplitude, Span<double> into, int fromFrame)
        where T : struct, IStoredSample
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(bytes.Length, into.Length * channels * T.Bytes, nameof(bytes));
        ref var start = ref MemoryMarshal.GetReference(bytes);
        var factor = amplitude / T.FullScale;
        for (var frame = fromFrame; frame < into.Length; frame++)
            into[frame] = T.Load(ref Unsafe.Add(ref start, ((frame * channels) + channel) * T.Bytes)) * factor;
    }

    private static void Decode<T>(ReadOnlySpan<byte> bytes, double amplitude, Signal into)
        where T : struct, IStoredSample
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(bytes.Length, (into.Frames * into.Channels * T.Bytes) + SlackBytes, nameof(bytes));
        var done = 0;
        if (Vector128.IsHardwareAccelerated)
            done = into.Channels == 1 ? DecodeFoursMono<T>(bytes, amplitude, into[0]) : DecodeFoursStereo<T>(bytes, amplitude, into[0], into[1]);
        DecodeOnes<T>(bytes, amplitude, into, done);
    }

    private static int DecodeFoursMono<T>(ReadOnlySpan<byte> bytes, double amplitude, Span<double> mono)
        where T : struct, IStoredSample
    {
        var factor = Vector256.Create(amplitude / T.FullScale);
        ref var from = ref MemoryMarshal.GetReference(bytes);
        ref var to = ref MemoryMarshal.GetReference(mono);
        var frame = 0;
        for (; frame <= mono.Length - 4; frame += 4)
        {
            (T.Widen(T.LoadFour(ref from)) * factor).StoreUnsafe(ref to, (nuint)frame);
            from = ref Unsafe.Add(ref from, 4 * T.Bytes);
        }

        return frame;
    }

    private static int DecodeFoursStereo<T>(ReadOnlySpan<byte> bytes, double amplitude, Span<double> left, Span<double> right)
        where T : struct, IStoredSample
    {
        var factor = Vector256.Create(amplitude / T.FullScale);
        ref var from = ref MemoryMarshal.GetReference(bytes);
        ref var toLeft = ref MemoryMarshal.GetReference(left);
        ref var toRight = ref MemoryMarshal.GetReference(right);
        var frame = 0;
        for (; frame <= left.Length - 4; frame += 4)
        {
            var separate = Fours.Separate(T.LoadFour(ref from), T.LoadFour(ref Unsafe.Add(ref from, 4 * T.Bytes)));
            (T.Widen(separate.GetLower()) * factor).StoreUnsafe(ref toLeft, (nuint)frame);
            (T.Widen(separate.GetUpper()) * factor).StoreUnsafe(ref toRight, (nuint)frame);
            from = ref Unsafe.Add(ref from, 8 * T.Bytes);
        }

        return frame;
    }

    private static void DecodeFloat64(StoredSamples stored, ReadOnlySpan<byte> bytes, int channels, int channel, double amplitude, Span<double> into)
    {
        for (var frame = 0; frame < into.Length; frame++)
        {
            var sample = bytes[(((frame * channels) + channel) * sizeof(double))..];
            into[frame] = (stored == StoredSamples.Float64Big ? BinaryPrimitives.ReadDoubleBigEndian(sample) : BinaryPrimitives.ReadDoubleLittleEndian(sample)) * amplitude;
        }
    }

    private static int FirstNotFinite(ReadOnlySpan<double> plane)
    {
        var frame = 0;
        if (Vector256.IsHardwareAccelerated)
        {
            // Only of a finite number is the difference from itself zero.
            for (; frame <= plane.Length - 4; frame += 4)
            {
                var four = Vector256.Create(plane[frame..]);
                if (!Vector256.EqualsAll(four - four, Vector256<double>.Zero)) break;
            }
        }

        while (frame < plane.Length && double.IsFinite(plane[frame]))
            frame++;
        return frame < plane.Length ? frame : -1;
    }
}
