namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>What the 256 codes of A-law and mu-law stand for (ITU-T G.711, tables 1a and 2a: decoder output values), at the top of 32 bits.</summary>
internal static class G711
{
    /// <summary>13 bits with their sign: 1, 3, ... 4,032 of 4,096, either way.</summary>
    public static int[] ALaw { get; } = [.. Enumerable.Range(0, 256).Select(code => ALawValue(code) << 19)];

    /// <summary>14 bits with their sign: 0, 2, ... 8,031 of 8,192, either way.</summary>
    public static int[] MuLaw { get; } = [.. Enumerable.Range(0, 256).Select(code => MuLawValue(code) << 18)];

    private static int ALawValue(int code)
    {
        var bits = code ^ 0x55; // even bits are sent inverted
        int segment = (bits >> 4) & 7, step = bits & 15;
        var value = segment == 0 ? (2 * step) + 1 : ((2 * step) + 33) << (segment - 1);
        return (bits & 0x80) != 0 ? value : -value;
    }

    private static int MuLawValue(int code)
    {
        var bits = ~code; // all bits are sent inverted
        int segment = (bits >> 4) & 7, step = bits & 15;
        var value = (((2 * step) + 33) << segment) - 33;
        return (bits & 0x80) != 0 ? -value : value;
    }
}
