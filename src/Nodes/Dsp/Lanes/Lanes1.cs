using System.Runtime.CompilerServices;

namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>A plain number.</summary>
internal struct Lanes1 : IFormulaLanes<Lanes1>
{
    private double _value; // set without a constructor: see Lanes8

    public static int Count => 1;

    public readonly double Value => _value;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 operator +(Lanes1 left, Lanes1 right) => new() { _value = left._value + right._value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 operator -(Lanes1 left, Lanes1 right) => new() { _value = left._value - right._value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 operator *(Lanes1 left, Lanes1 right) => new() { _value = left._value * right._value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 operator /(Lanes1 left, Lanes1 right) => new() { _value = left._value / right._value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 Settle(Lanes1 value, double rest) => Math.Abs(value._value) < rest ? default : value;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 All(double value) => new() { _value = value };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 Load(ref double start, int index) => new() { _value = Unsafe.Add(ref start, index) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Store(Lanes1 value, ref double start, int index) => Unsafe.Add(ref start, index) = value._value;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 WhereLess(Lanes1 left, Lanes1 right, Lanes1 then, Lanes1 otherwise) => left._value < right._value ? then : otherwise;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 Abs(Lanes1 value) => new() { _value = Math.Abs(value._value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 CopySign(Lanes1 magnitude, Lanes1 sign) => new() { _value = Math.CopySign(magnitude._value, sign._value) };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 PowerOfTwo(Lanes1 rounded) => FromBits((Bits(rounded) + 1023) << 52);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 AddBits(Lanes1 value, long bits) => FromBits(Bits(value) + bits);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 BiasedExponent(Lanes1 value) => new() { _value = Bits(value) >>> 52 };

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 MantissaBits(Lanes1 value) => FromBits(Bits(value) & 0xFFFFFFFFFFFFFL);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Lanes1 UpperHalf(Lanes1 value) => FromBits(Bits(value) & ~0xFFFFFFFFL);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static long Bits(Lanes1 value) => BitConverter.DoubleToInt64Bits(value._value);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Lanes1 FromBits(long bits) => new() { _value = BitConverter.Int64BitsToDouble(bits) };
}
