using System.Buffers.Binary;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>32-bit floating point, little-endian. May hold what is no number.</summary>
internal readonly struct StoredFloat32 : IStoredSample
{
    /// <inheritdoc/>
    public static int Bytes => 4;

    /// <inheritdoc/>
    public static double FullScale => 1;

    /// <inheritdoc/>
    public static double Load(ref byte from) => BinaryPrimitives.ReadSingleLittleEndian(MemoryMarshal.CreateReadOnlySpan(ref from, 4));

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<int> LoadFour(ref byte from) => Vector128.LoadUnsafe(ref from).AsInt32();

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Widen(Vector128<int> four) => Fours.ToDouble(four.AsSingle());
}
