using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>Two stereo signals in one vector.</summary>
internal struct Lanes4 : IFormulaLanes<Lanes4>
{
    // Set without a constructor: it would be one more call to be inlined, and a long formula has more of them than the compiler takes in.
    private Vector256<double> _value;

    public static int Count => 4;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator +(Lanes4 left, Lanes4 right) => new() { _value = left._value + right._value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator -(Lanes4 left, Lanes4 right) => new() { _value = left._value - right._value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator *(Lanes4 left, Lanes4 right) => new() { _value = left._value * right._value };

    public static Lanes4 Settle(Lanes4 value, double rest) =>
        new() { _value = Vector256.AndNot(value._value, Vector256.LessThan(Vector256.Abs(value._value), Vector256.Create(rest))) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 operator /(Lanes4 left, Lanes4 right) => new() { _value = left._value / right._value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 All(double value) => new() { _value = Vector256.Create(value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 Load(ref double start, int index) => new() { _value = Vector256.LoadUnsafe(ref start, (nuint)index) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Store(Lanes4 value, ref double start, int index) => value._value.StoreUnsafe(ref start, (nuint)index);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 WhereLess(Lanes4 left, Lanes4 right, Lanes4 then, Lanes4 otherwise) =>
        new() { _value = Vector256.ConditionalSelect(Vector256.LessThan(left._value, right._value), then._value, otherwise._value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 Abs(Lanes4 value) => new() { _value = Vector256.Abs(value._value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 CopySign(Lanes4 magnitude, Lanes4 sign) =>
        new() { _value = Vector256.ConditionalSelect(Vector256.Create(-0.0), sign._value, magnitude._value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 PowerOfTwo(Lanes4 rounded) => new() { _value = ((rounded._value.AsInt64() + Vector256.Create(1023L)) << 52).AsDouble() };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 AddBits(Lanes4 value, long bits) => new() { _value = (value._value.AsInt64() + Vector256.Create(bits)).AsDouble() };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 BiasedExponent(Lanes4 value)
    {
        // A whole number below 2^52, or-ed into the pattern of 2^52, reads as 2^52 plus that number.
        var twoTo52 = Vector256.Create(4503599627370496.0);
        return new() { _value = ((value._value.AsInt64() >>> 52) | twoTo52.AsInt64()).AsDouble() - twoTo52 };
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 MantissaBits(Lanes4 value) => new() { _value = (value._value.AsInt64() & Vector256.Create(0xFFFFFFFFFFFFFL)).AsDouble() };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes4 UpperHalf(Lanes4 value) => new() { _value = (value._value.AsInt64() & Vector256.Create(~0xFFFFFFFFL)).AsDouble() };
}
