using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>8-bit A-law, decoded by <see cref="G711.ALaw"/>.</summary>
internal readonly struct StoredALaw : IStoredSample
{
    /// <inheritdoc/>
    public static int Bytes => 1;

    /// <inheritdoc/>
    public static double FullScale => 2147483648;

    /// <inheritdoc/>
    public static double Load(ref byte from) => G711.ALaw[from];

    /// <inheritdoc/>
    public static Vector128<int> LoadFour(ref byte from) =>
        Vector128.Create(G711.ALaw[from], G711.ALaw[Unsafe.Add(ref from, 1)], G711.ALaw[Unsafe.Add(ref from, 2)], G711.ALaw[Unsafe.Add(ref from, 3)]);

    /// <inheritdoc/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> Widen(Vector128<int> four) => Fours.ToDouble(four);
}
