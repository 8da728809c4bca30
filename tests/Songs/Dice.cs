namespace RenderGraph.Songs;

/// <summary>Chance that can be had again: numbers by SplitMix64 (Steele, Lea and Flood 2014; constants from memory), one stream for each song.</summary>
internal sealed class Dice(long seed, long number)
{
    private ulong _state = ((ulong)seed * 0xD1342543DE82EF95) ^ ((ulong)number * 0x9E3779B97F4A7C15);

    /// <summary>From 0 to below <paramref name="end"/>.</summary>
    public int Below(int end) => (int)(Next() % (ulong)end);

    /// <summary>True once in so many times.</summary>
    public bool OneIn(int times) => Below(times) == 0;

    /// <summary>One of them.</summary>
    public T Of<T>(params IReadOnlyList<T> choices) => choices[Below(choices.Count)];

    /// <summary>Evenly between two numbers.</summary>
    public double Between(double from, double to) => from + ((to - from) * Below(1 << 20) / (1 << 20));

    /// <summary>64 bits.</summary>
    public ulong Next()
    {
        _state += 0x9E3779B97F4A7C15;
        var mixed = (_state ^ (_state >> 30)) * 0xBF58476D1CE4E5B9;
        mixed = (mixed ^ (mixed >> 27)) * 0x94D049BB133111EB;
        return mixed ^ (mixed >> 31);
    }
}
