namespace RenderGraph.Cli.Demo;

/// <summary>White noise that is the same on every machine: the xorshift64* generator (Vigna 2016, "An experimental exploration of Marsaglia's xorshift generators").</summary>
internal struct SeededNoise(ulong seed)
{
    private ulong _state = seed == 0 ? 1 : seed;

    /// <summary>The next sample, from -1 up to but not including 1.</summary>
    public double Next()
    {
        _state ^= _state >> 12;
        _state ^= _state << 25;
        _state ^= _state >> 27;
        var bits = (long)((_state * 0x2545F4914F6CDD1D) >> 11);
        return (bits - (1L << 52)) / (double)(1L << 52);
    }
}
