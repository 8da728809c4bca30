using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>24-bit PCM, little-endian; also 17 to 23 valid bits, which stand at the top.</summary>
internal readonly struct StoredPcm24 : IStoredSample, IWrittenSample
{
    /// <inheritdoc cref="IStoredSample.Bytes"/>
    public static int Bytes => 3;

    /// <inheritdoc/>
    public static double FullScale => 2147483648;

    /// <inheritdoc/>
    public static double Load(ref byte from)
        => (from << 8) | (Unsafe.Add(ref from, 1) << 16) | (Unsafe.Add(ref from, 2) << 24);

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<int> LoadFour(ref byte from)
    {
        var bytes = Vector128.LoadUnsafe(ref from);
        return Vector128.Shuffle(bytes, Vector128.Create((byte)255, 0, 1, 2, 255, 3, 4, 5, 255, 6, 7, 8, 255, 9, 10, 11)).AsInt32();
    }

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Widen(Vector128<int> four) => Fours.ToDouble(four);

    /// <inheritdoc/>
    public static void Store(ref byte to, int value)
    {
        to = (byte)value;
        Unsafe.Add(ref to, 1) = (byte)(value >> 8);
        Unsafe.Add(ref to, 2) = (byte)(value >> 16);
    }

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void StoreFour(ref byte to, Vector128<int> four)
        => Vector128.Shuffle(four.AsByte(), Vector128.Create((byte)0, 1, 2, 4, 5, 6, 8, 9, 10, 12, 13, 14, 255, 255, 255, 255)).StoreUnsafe(ref to);
}
