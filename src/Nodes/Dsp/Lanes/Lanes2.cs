using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>One stereo signal.</summary>
internal struct Lanes2 : IFormulaLanes<Lanes2>
{
    // Set without a constructor: it would be one more call to be inlined, and a long formula has more of them than the compiler takes in.
    private Vector128<double> _value;

    public static int Count => 2;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 operator +(Lanes2 left, Lanes2 right) => new() { _value = left._value + right._value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 operator -(Lanes2 left, Lanes2 right) => new() { _value = left._value - right._value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 operator *(Lanes2 left, Lanes2 right) => new() { _value = left._value * right._value };

    public static Lanes2 Settle(Lanes2 value, double rest) =>
        new() { _value = Vector128.AndNot(value._value, Vector128.LessThan(Vector128.Abs(value._value), Vector128.Create(rest))) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 operator /(Lanes2 left, Lanes2 right) => new() { _value = left._value / right._value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 All(double value) => new() { _value = Vector128.Create(value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 Load(ref double start, int index) => new() { _value = Vector128.LoadUnsafe(ref start, (nuint)index) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Store(Lanes2 value, ref double start, int index) => value._value.StoreUnsafe(ref start, (nuint)index);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 WhereLess(Lanes2 left, Lanes2 right, Lanes2 then, Lanes2 otherwise) =>
        new() { _value = Vector128.ConditionalSelect(Vector128.LessThan(left._value, right._value), then._value, otherwise._value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 Abs(Lanes2 value) => new() { _value = Vector128.Abs(value._value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 CopySign(Lanes2 magnitude, Lanes2 sign) =>
        new() { _value = Vector128.ConditionalSelect(Vector128.Create(-0.0), sign._value, magnitude._value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 PowerOfTwo(Lanes2 rounded) => new() { _value = ((rounded._value.AsInt64() + Vector128.Create(1023L)) << 52).AsDouble() };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 AddBits(Lanes2 value, long bits) => new() { _value = (value._value.AsInt64() + Vector128.Create(bits)).AsDouble() };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 BiasedExponent(Lanes2 value)
    {
        // A whole number below 2^52, or-ed into the pattern of 2^52, reads as 2^52 plus that number.
        var twoTo52 = Vector128.Create(4503599627370496.0);
        return new() { _value = ((value._value.AsInt64() >>> 52) | twoTo52.AsInt64()).AsDouble() - twoTo52 };
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 MantissaBits(Lanes2 value) => new() { _value = (value._value.AsInt64() & Vector128.Create(0xFFFFFFFFFFFFFL)).AsDouble() };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes2 UpperHalf(Lanes2 value) => new() { _value = (value._value.AsInt64() & Vector128.Create(~0xFFFFFFFFL)).AsDouble() };
}
