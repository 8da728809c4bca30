namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// Elementary functions whose bits are the same on every machine: only <c>+ - * /</c>, rounding and bit patterns in a fixed order.
/// Within 2 units in the last place of the true value (<see cref="Tanh(double)"/>: 3); NaN stays NaN.
/// </summary>
/// <remarks>
/// Argument reduction after Cody and Waite; polynomials interpolate at Chebyshev nodes, computed with 200 digits and rounded to double. The methods are
/// textbook (Muller, "Elementary Functions", named from memory); the coefficients are our own.
/// </remarks>
public static partial class PortableMath
{
    /// <summary>Half a turn in radians.</summary>
    public const double Pi = 3.141592653589793;

    /// <summary>The natural logarithm of 2.</summary>
    public const double Ln2 = 0.6931471805599453;

    // 1.5 * 2^52: added and taken away again it rounds to the nearest whole number, ties to even, which then stands in the low bits.
    private const double Rounder = 6755399441055744.0;

    private const int ExponentBias = 1023;
}
