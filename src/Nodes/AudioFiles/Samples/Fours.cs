using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>Moves between number types, four lanes at a time. Each has one correct result, so every instruction set gives the same bits.</summary>
internal static class Fours
{
    /// <summary>Exact.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> ToDouble(Vector128<int> four) => Avx.IsSupported
        ? Avx.ConvertToVector256Double(four)
        : Vector256.Create(
            Vector128.ConvertToDouble(Vector128.WidenLower(four)), Vector128.ConvertToDouble(Vector128.WidenUpper(four)));

    /// <summary>Exact.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<double> ToDouble(Vector128<float> four) => Avx.IsSupported
        ? Avx.ConvertToVector256Double(four)
        : Vector256.Create(Vector128.WidenLower(four), Vector128.WidenUpper(four));

    /// <summary>Of whole numbers that fit.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<int> ToInt32(Vector256<double> four) => Avx.IsSupported
        ? Avx.ConvertToVector128Int32(four)
        : Vector128.Narrow(Vector128.ConvertToInt64(four.GetLower()), Vector128.ConvertToInt64(four.GetUpper()));

    /// <summary>To the nearest, ties to even.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector128<float> ToSingle(Vector256<double> four) => Avx.IsSupported
        ? Avx.ConvertToVector128Single(four)
        : Vector128.Narrow(four.GetLower(), four.GetUpper());

    /// <summary>L0 R0 L1 R1 and L2 R2 L3 R3 to left (lower half) and right (upper half).</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<int> Separate(Vector128<int> first, Vector128<int> second)
        => Vector256.Shuffle(Vector256.Create(first, second), Vector256.Create(0, 2, 4, 6, 1, 3, 5, 7));

    /// <summary>Left and right to L0 R0 L1 R1 (lower half) and L2 R2 L3 R3 (upper half).</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<int> Interleave(Vector128<int> left, Vector128<int> right)
        => Vector256.Shuffle(Vector256.Create(left, right), Vector256.Create(0, 4, 1, 5, 2, 6, 3, 7));
}
