using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>16-bit PCM, little-endian; also 9 to 15 valid bits, which stand at the top.</summary>
internal readonly struct StoredPcm16 : IStoredSample, IWrittenSample
{
    /// <inheritdoc cref="IStoredSample.Bytes"/>
    public static int Bytes => 2;

    /// <inheritdoc/>
    public static double FullScale => 2147483648;

    /// <inheritdoc/>
    public static double Load(ref byte from) => (from << 16) | (Unsafe.Add(ref from, 1) << 24);

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<int> LoadFour(ref byte from)
    {
        var bytes = Vector128.CreateScalar(Unsafe.ReadUnaligned<ulong>(ref from)).AsByte();
        return Vector128.Shuffle(bytes, Vector128.Create((byte)255, 255, 0, 1, 255, 255, 2, 3, 255, 255, 4, 5, 255, 255, 6, 7)).AsInt32();
    }

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Widen(Vector128<int> four) => Fours.ToDouble(four);

    /// <inheritdoc/>
    public static void Store(ref byte to, int value)
    {
        to = (byte)value;
        Unsafe.Add(ref to, 1) = (byte)(value >> 8);
    }

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void StoreFour(ref byte to, Vector128<int> four)
    {
        var bytes = Vector128.Shuffle(
            four.AsByte(), Vector128.Create((byte)0, 1, 4, 5, 8, 9, 12, 13, 255, 255, 255, 255, 255, 255, 255, 255));
        Unsafe.WriteUnaligned(ref to, bytes.AsUInt64().ToScalar());
    }
}
