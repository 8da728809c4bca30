using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>One stereo signal.</summary>
internal readonly struct Lanes2(Vector128<double> value) : ILanes<Lanes2>
{
    private readonly Vector128<double> _value = value;

    public static int Count => 2;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 operator +(Lanes2 left, Lanes2 right) => new(left._value + right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 operator -(Lanes2 left, Lanes2 right) => new(left._value - right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 operator *(Lanes2 left, Lanes2 right) => new(left._value * right._value);

    public static Lanes2 Settle(Lanes2 value, double rest) =>
        new(Vector128.AndNot(value._value, Vector128.LessThan(Vector128.Abs(value._value), Vector128.Create(rest))));
}
