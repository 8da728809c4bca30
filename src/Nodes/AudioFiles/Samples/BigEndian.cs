using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>The same samples with their highest byte first, as in AIFF.</summary>
/// <typeparam name="T">With their lowest byte first; 2, 3 or 4 bytes.</typeparam>
internal readonly struct BigEndian<T> : IStoredSample
    where T : struct, IStoredSample
{
    /// <inheritdoc/>
    public static int Bytes => T.Bytes;

    /// <inheritdoc/>
    public static double FullScale => T.FullScale;

    private static Vector128<byte> Swap => T.Bytes switch
    {
        2 => Vector128.Create((byte)1, 0, 3, 2, 5, 4, 7, 6, 9, 8, 11, 10, 13, 12, 15, 14),
        3 => Vector128.Create((byte)2, 1, 0, 5, 4, 3, 8, 7, 6, 11, 10, 9, 15, 14, 13, 12),
        _ => Vector128.Create((byte)3, 2, 1, 0, 7, 6, 5, 4, 11, 10, 9, 8, 15, 14, 13, 12),
    };

    /// <inheritdoc/>
    public static double Load(ref byte from)
    {
        Span<byte> swapped = stackalloc byte[4];
        for (var i = 0; i < T.Bytes; i++)
            swapped[i] = Unsafe.Add(ref from, T.Bytes - 1 - i);
        return T.Load(ref swapped[0]);
    }

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<int> LoadFour(ref byte from)
    {
        var swapped = Vector128.Shuffle(Vector128.LoadUnsafe(ref from), Swap);
        return T.LoadFour(ref Unsafe.As<Vector128<byte>, byte>(ref swapped));
    }

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Widen(Vector128<int> four) => T.Widen(four);
}
