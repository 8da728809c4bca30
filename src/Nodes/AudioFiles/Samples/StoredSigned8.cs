using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>8-bit PCM of AIFF: -128 to 127.</summary>
internal readonly struct StoredSigned8 : IStoredSample
{
    /// <inheritdoc/>
    public static int Bytes => 1;

    /// <inheritdoc/>
    public static double FullScale => 2147483648;

    /// <inheritdoc/>
    public static double Load(ref byte from) => (sbyte)from << 24;

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<int> LoadFour(ref byte from)
    {
        var bytes = Vector128.CreateScalar(Unsafe.ReadUnaligned<uint>(ref from)).AsByte();
        return Vector128.Shuffle(bytes, Vector128.Create((byte)255, 255, 255, 0, 255, 255, 255, 1, 255, 255, 255, 2, 255, 255, 255, 3)).AsInt32();
    }

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Widen(Vector128<int> four) => Fours.ToDouble(four);
}
