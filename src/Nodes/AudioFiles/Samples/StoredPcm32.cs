using System.Buffers.Binary;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>32-bit PCM, little-endian; also 25 to 31 valid bits, and 24 in 32, which stand at the top.</summary>
internal readonly struct StoredPcm32 : IStoredSample, IWrittenSample
{
    /// <inheritdoc cref="IStoredSample.Bytes"/>
    public static int Bytes => 4;

    /// <inheritdoc/>
    public static double FullScale => 2147483648;

    /// <inheritdoc/>
    public static double Load(ref byte from) => BinaryPrimitives.ReadInt32LittleEndian(MemoryMarshal.CreateReadOnlySpan(ref from, 4));

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<int> LoadFour(ref byte from) => Vector128.LoadUnsafe(ref from).AsInt32();

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Widen(Vector128<int> four) => Fours.ToDouble(four);

    /// <inheritdoc/>
    public static void Store(ref byte to, int value) => BinaryPrimitives.WriteInt32LittleEndian(MemoryMarshal.CreateSpan(ref to, 4), value);

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void StoreFour(ref byte to, Vector128<int> four) => four.AsByte().StoreUnsafe(ref to);
}
