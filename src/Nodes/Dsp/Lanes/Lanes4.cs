using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>Two stereo signals in one vector.</summary>
internal readonly struct Lanes4(Vector256<double> value) : ILanes<Lanes4>
{
    private readonly Vector256<double> _value = value;

    public static int Count => 4;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator +(Lanes4 left, Lanes4 right) => new(left._value + right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator -(Lanes4 left, Lanes4 right) => new(left._value - right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator *(Lanes4 left, Lanes4 right) => new(left._value * right._value);

    public static Lanes4 Settle(Lanes4 value, double rest) =>
        new(Vector256.AndNot(value._value, Vector256.LessThan(Vector256.Abs(value._value), Vector256.Create(rest))));
}
