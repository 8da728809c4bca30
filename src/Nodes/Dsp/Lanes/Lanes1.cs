using System.Runtime.CompilerServices;

namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>A plain number.</summary>
internal readonly struct Lanes1(double value) : IFormulaLanes<Lanes1>
{
    public static int Count => 1;

    public double Value { get; } = value;

    public static Lanes1 operator +(Lanes1 left, Lanes1 right) => new(left.Value + right.Value);

    public static Lanes1 operator -(Lanes1 left, Lanes1 right) => new(left.Value - right.Value);

    public static Lanes1 operator *(Lanes1 left, Lanes1 right) => new(left.Value * right.Value);

    public static Lanes1 operator /(Lanes1 left, Lanes1 right) => new(left.Value / right.Value);

    public static Lanes1 Settle(Lanes1 value, double rest) => Math.Abs(value.Value) < rest ? default : value;

    public static Lanes1 All(double value) => new(value);

    public static Lanes1 Load(ref double start, int index) => new(Unsafe.Add(ref start, index));

    public static void Store(Lanes1 value, ref double start, int index) => Unsafe.Add(ref start, index) = value.Value;

    public static Lanes1 WhereLess(Lanes1 left, Lanes1 right, Lanes1 then, Lanes1 otherwise) => left.Value < right.Value ? then : otherwise;

    public static Lanes1 Abs(Lanes1 value) => new(Math.Abs(value.Value));

    public static Lanes1 CopySign(Lanes1 magnitude, Lanes1 sign) => new(Math.CopySign(magnitude.Value, sign.Value));

    public static Lanes1 PowerOfTwo(Lanes1 rounded) => FromBits((Bits(rounded) + 1023) << 52);

    public static Lanes1 AddBits(Lanes1 value, long bits) => FromBits(Bits(value) + bits);

    public static Lanes1 BiasedExponent(Lanes1 value) => new(Bits(value) >>> 52);

    public static Lanes1 MantissaBits(Lanes1 value) => FromBits(Bits(value) & 0xFFFFFFFFFFFFFL);

    public static Lanes1 UpperHalf(Lanes1 value) => FromBits(Bits(value) & ~0xFFFFFFFFL);

    private static long Bits(Lanes1 value) => BitConverter.DoubleToInt64Bits(value.Value);

    private static Lanes1 FromBits(long bits) => new(BitConverter.Int64BitsToDouble(bits));
}
