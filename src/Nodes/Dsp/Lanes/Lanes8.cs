using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>Four stereo signals in one vector, where the machine has vectors that wide.</summary>
internal readonly struct Lanes8(Vector512<double> value) : ILanes<Lanes8>
{
    private readonly Vector512<double> _value = value;

    public static int Count => 8;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator +(Lanes8 left, Lanes8 right) => new(left._value + right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator -(Lanes8 left, Lanes8 right) => new(left._value - right._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator *(Lanes8 left, Lanes8 right) => new(left._value * right._value);

    public static Lanes8 Settle(Lanes8 value, double rest) =>
        new(Vector512.AndNot(value._value, Vector512.LessThan(Vector512.Abs(value._value), Vector512.Create(rest))));
}
