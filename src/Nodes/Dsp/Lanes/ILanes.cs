namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>
/// A few numbers worked on side by side, a plane each. Lanes know nothing of each other and no operation is fused, so every width gives the bits
/// of plain numbers; a loop is written once and compiled for each width.
/// </summary>
/// <typeparam name="T">The width itself.</typeparam>
internal interface ILanes<T> where T : unmanaged, ILanes<T>
{
    /// <summary>How many.</summary>
    static abstract int Count { get; }

    /// <summary>Sums lane by lane.</summary>
    static abstract T operator +(T left, T right);

    /// <summary>Differences lane by lane.</summary>
    static abstract T operator -(T left, T right);

    /// <summary>Products lane by lane.</summary>
    static abstract T operator *(T left, T right);

    /// <summary>Zero in every lane whose magnitude is below <paramref name="rest"/>.</summary>
    static abstract T Settle(T value, double rest);
}
