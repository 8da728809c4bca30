using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>Four stereo signals in two vectors of half the width, for a machine that has no wider: while one waits for its own last frame, the other works.</summary>
internal readonly struct PairedLanes8(Vector256<double> low, Vector256<double> high) : ILanes<PairedLanes8>
{
    private readonly Vector256<double> _low = low, _high = high;

    public static int Count => 8;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static PairedLanes8 operator +(PairedLanes8 left, PairedLanes8 right) => new(left._low + right._low, left._high + right._high);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static PairedLanes8 operator -(PairedLanes8 left, PairedLanes8 right) => new(left._low - right._low, left._high - right._high);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static PairedLanes8 operator *(PairedLanes8 left, PairedLanes8 right) => new(left._low * right._low, left._high * right._high);

    public static PairedLanes8 Settle(PairedLanes8 value, double rest) => new(Settle(value._low, rest), Settle(value._high, rest));

    private static Vector256<double> Settle(Vector256<double> value, double rest) =>
        Vector256.AndNot(value, Vector256.LessThan(Vector256.Abs(value), Vector256.Create(rest)));
}
