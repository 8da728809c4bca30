using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>Four stereo signals in one vector, where the machine has vectors that wide.</summary>
internal struct Lanes8 : IFormulaLanes<Lanes8>
{
    // Set without a constructor: it would be one more call to be inlined, and a long formula has more of them than the compiler takes in.
    private Vector512<double> _value;

    public static int Count => 8;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator +(Lanes8 left, Lanes8 right) => new() { _value = left._value + right._value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator -(Lanes8 left, Lanes8 right) => new() { _value = left._value - right._value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator *(Lanes8 left, Lanes8 right) => new() { _value = left._value * right._value };

    public static Lanes8 Settle(Lanes8 value, double rest) =>
        new() { _value = Vector512.AndNot(value._value, Vector512.LessThan(Vector512.Abs(value._value), Vector512.Create(rest))) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 operator /(Lanes8 left, Lanes8 right) => new() { _value = left._value / right._value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 All(double value) => new() { _value = Vector512.Create(value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 Load(ref double start, int index) => new() { _value = Vector512.LoadUnsafe(ref start, (nuint)index) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Store(Lanes8 value, ref double start, int index) => value._value.StoreUnsafe(ref start, (nuint)index);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 WhereLess(Lanes8 left, Lanes8 right, Lanes8 then, Lanes8 otherwise) =>
        new() { _value = Vector512.ConditionalSelect(Vector512.LessThan(left._value, right._value), then._value, otherwise._value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 Abs(Lanes8 value) => new() { _value = Vector512.Abs(value._value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 CopySign(Lanes8 magnitude, Lanes8 sign) =>
        new() { _value = Vector512.ConditionalSelect(Vector512.Create(-0.0), sign._value, magnitude._value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 PowerOfTwo(Lanes8 rounded) => new() { _value = ((rounded._value.AsInt64() + Vector512.Create(1023L)) << 52).AsDouble() };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 AddBits(Lanes8 value, long bits) => new() { _value = (value._value.AsInt64() + Vector512.Create(bits)).AsDouble() };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 BiasedExponent(Lanes8 value)
    {
        // A whole number below 2^52, or-ed into the pattern of 2^52, reads as 2^52 plus that number.
        var twoTo52 = Vector512.Create(4503599627370496.0);
        return new() { _value = ((value._value.AsInt64() >>> 52) | twoTo52.AsInt64()).AsDouble() - twoTo52 };
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 MantissaBits(Lanes8 value) => new() { _value = (value._value.AsInt64() & Vector512.Create(0xFFFFFFFFFFFFFL)).AsDouble() };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes8 UpperHalf(Lanes8 value) => new() { _value = (value._value.AsInt64() & Vector512.Create(~0xFFFFFFFFL)).AsDouble() };
}
