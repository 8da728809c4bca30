namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>
/// Lanes that do all that a formula needs: a formula is written once, and every lane goes through the same roundings in the same order, with
/// selection in the place of branches. So one lane and eight give the same bits.
/// </summary>
/// <typeparam name="T">The width itself.</typeparam>
internal interface IFormulaLanes<T> : ILanes<T> where T : unmanaged, IFormulaLanes<T>
{
    /// <summary>Quotients lane by lane.</summary>
    static abstract T operator /(T left, T right);

    /// <summary>The same number in every lane.</summary>
    static abstract T All(double value);

    /// <summary>The numbers that start <paramref name="index"/> places after <paramref name="start"/>; the caller keeps within bounds.</summary>
    static abstract T Load(ref double start, int index);

    /// <summary>The other way round.</summary>
    static abstract void Store(T value, ref double start, int index);

    /// <summary>Lane by lane: left &lt; right ? then : otherwise.</summary>
    static abstract T WhereLess(T left, T right, T then, T otherwise);

    /// <summary>Without the sign.</summary>
    static abstract T Abs(T value);

    /// <summary>The magnitude of one, the sign of the other.</summary>
    static abstract T CopySign(T magnitude, T sign);

    /// <summary>2^k where the bit pattern of <paramref name="rounded"/> ends in the whole number k, from -1022 to 1023.</summary>
    static abstract T PowerOfTwo(T rounded);

    /// <summary>The sum of two bit patterns.</summary>
    static abstract T AddBits(T value, long bits);

    /// <summary>The exponent's bits of a positive number, as a number.</summary>
    static abstract T BiasedExponent(T value);

    /// <summary>The pattern without sign and exponent.</summary>
    static abstract T MantissaBits(T value);

    /// <summary>Without the lower 32 bits of its pattern.</summary>
    static abstract T UpperHalf(T value);
}
