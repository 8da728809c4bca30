using System.Buffers.Binary;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>Planes of double to stored bytes, interleaved. See <see cref="Quantizer"/> for integers; floats are rounded to the nearest, and -0 becomes 0.</summary>
/// <param name="name">Seeds the dither.</param>
internal sealed class SampleEncoder(SampleEncoding encoding, string name)
{
    /// <summary>Frames encoded at once, at most.</summary>
    public const int MostFrames = 2048;

    /// <summary>Bytes that a buffer must have after its last frame.</summary>
    public const int SlackBytes = 16;

    private readonly ulong _seed = Dither.Seed(name);
    private readonly int[] _left = new int[MostFrames], _right = new int[MostFrames];

    /// <summary>Bits a sample takes.</summary>
    public int Bits { get; } = encoding switch { SampleEncoding.Pcm16 => 16, SampleEncoding.Pcm24 => 24, _ => 32 };

    /// <summary>Samples past full scale so far.</summary>
    public long ClippedSamples { get; private set; }

    /// <summary>Encodes finite samples.</summary>
    /// <param name="firstFrame">Place in the song of the first frame.</param>
    /// <param name="bytes">Room for the frames and <see cref="SlackBytes"/>.</param>
    public void Encode(Signal signal, long firstFrame, Span<byte> bytes)
    {
        ArgumentOutOfRangeException.ThrowIfGreaterThan(signal.Frames, MostFrames, nameof(signal));
        ArgumentOutOfRangeException.ThrowIfLessThan(bytes.Length, (signal.Frames * signal.Channels * Bits / 8) + SlackBytes, nameof(bytes));
        for (var channel = 0; channel < signal.Channels; channel++)
        {
            var plane = (channel == 0 ? _left : _right).AsSpan(0, signal.Frames);
            if (encoding == SampleEncoding.Float32) RoundToFloat(signal[channel], plane);
            else Round(signal[channel], plane, channel, firstFrame);
        }

        switch (encoding)
        {
            case SampleEncoding.Pcm16: Store<StoredPcm16>(signal, bytes); break;
            case SampleEncoding.Pcm24: Store<StoredPcm24>(signal, bytes); break;
            default: Store<StoredPcm32>(signal, bytes); break;
        }
    }

    /// <summary>One by one.</summary>
    internal static void StoreOnes<T>(ReadOnlySpan<int> plane, Span<byte> bytes, int channel, int channels, int fromFrame)
        where T : struct, IWrittenSample
    {
        for (var frame = fromFrame; frame < plane.Length; frame++)
            T.Store(ref bytes[((frame * channels) + channel) * T.Bytes], plane[frame]);
    }

    /// <summary>As bits of floats, one by one.</summary>
    internal static void RoundToFloatOnes(ReadOnlySpan<double> samples, Span<int> into)
    {
        for (var i = 0; i < samples.Length; i++)
            into[i] = BitConverter.SingleToInt32Bits((float)samples[i] + 0f);
    }

    private static void RoundToFloat(ReadOnlySpan<double> samples, Span<int> into)
    {
        var i = 0;
        if (Vector256.IsHardwareAccelerated)
        {
            for (; i <= samples.Length - 4; i += 4)
            {
                var four = Fours.ToSingle(Vector256.Create(samples[i..])) + Vector128<float>.Zero;
                four.AsInt32().CopyTo(into[i..]);
            }
        }

        RoundToFloatOnes(samples[i..], into[i..]);
    }

    private void Round(ReadOnlySpan<double> samples, Span<int> into, int channel, long firstFrame)
    {
        var quantizer = new Quantizer(Bits);
        while (!samples.IsEmpty)
        {
            // A block may lie across a multiple of 2^32 frames, where the dither takes its next key.
            var count = (int)Math.Min(samples.Length, 0x1_0000_0000 - (firstFrame & 0xFFFF_FFFF));
            var dither = new Dither(_seed, channel, (uint)(firstFrame >> 32));
            ClippedSamples += quantizer.Round(samples[..count], into[..count], dither, (uint)firstFrame);
            samples = samples[count..];
            into = into[count..];
            firstFrame += count;
        }
    }

    private void Store<T>(Signal signal, Span<byte> bytes)
        where T : struct, IWrittenSample
    {
        ReadOnlySpan<int> left = _left.AsSpan(0, signal.Frames), right = _right.AsSpan(0, signal.Frames);
        var done = 0;
        if (Vector128.IsHardwareAccelerated)
            done = signal.Channels == 1 ? StoreFoursMono<T>(left, bytes) : StoreFoursStereo<T>(left, right, bytes);
        StoreOnes<T>(left, bytes, 0, signal.Channels, done);
        if (signal.Channels == 2) StoreOnes<T>(right, bytes, 1, 2, done);
    }

    private static int StoreFoursMono<T>(ReadOnlySpan<int> mono, Span<byte> bytes)
        where T : struct, IWrittenSample
    {
        ref var from = ref MemoryMarshal.GetReference(mono);
        ref var to = ref MemoryMarshal.GetReference(bytes);
        var frame = 0;
        for (; frame <= mono.Length - 4; frame += 4)
        {
            T.StoreFour(ref to, Vector128.LoadUnsafe(ref from, (nuint)frame));
            to = ref Unsafe.Add(ref to, 4 * T.Bytes);
        }

        return frame;
    }

    private static int StoreFoursStereo<T>(ReadOnlySpan<int> left, ReadOnlySpan<int> right, Span<byte> bytes)
        where T : struct, IWrittenSample
    {
        ref var fromLeft = ref MemoryMarshal.GetReference(left);
        ref var fromRight = ref MemoryMarshal.GetReference(right);
        ref var to = ref MemoryMarshal.GetReference(bytes);
        var frame = 0;
        for (; frame <= left.Length - 4; frame += 4)
        {
            var both = Fours.Interleave(Vector128.LoadUnsafe(ref fromLeft, (nuint)frame), Vector128.LoadUnsafe(ref fromRight, (nuint)frame));
            T.StoreFour(ref to, both.GetLower());
            T.StoreFour(ref Unsafe.Add(ref to, 4 * T.Bytes), both.GetUpper());
            to = ref Unsafe.Add(ref to, 8 * T.Bytes);
        }

        return frame;
    }
}
