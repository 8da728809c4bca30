using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>8-bit PCM: 0 to 255, silence at 128.</summary>
internal readonly struct StoredUnsigned8 : IStoredSample
{
    /// <inheritdoc/>
    public static int Bytes => 1;

    /// <inheritdoc/>
    public static double FullScale => 2147483648;

    /// <inheritdoc/>
    public static double Load(ref byte from) => (from - 128) << 24;

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<int> LoadFour(ref byte from)
    {
        var bytes = Vector128.CreateScalar(Unsafe.ReadUnaligned<uint>(ref from)).AsByte();
        var high = Vector128.Shuffle(bytes, Vector128.Create((byte)255, 255, 255, 0, 255, 255, 255, 1, 255, 255, 255, 2, 255, 255, 255, 3));
        return high.AsInt32() ^ Vector128.Create(int.MinValue);
    }

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Widen(Vector128<int> four) => Fours.ToDouble(four);
}
