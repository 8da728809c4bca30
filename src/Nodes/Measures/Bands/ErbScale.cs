using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Bands;

/// <summary>
/// How finely hearing divides frequency: the equivalent rectangular bandwidth (ERB) of the auditory filter after B. R. Glasberg and B. C. J. Moore, "Derivation of auditory
/// filter shapes from notched-noise data", Hearing Research 47 (1990). They measured from 100 Hz up; below that the formulas are carried on.
/// </summary>
public static class ErbScale
{
    private const double PerHz = 0.00437, NarrowestHz = 24.7, PerTenfold = 21.4;
    private const double Log10Of2 = 0.30102999566398120;

    /// <summary>The low end that is mapped: 20 to 300 Hz.</summary>
    public const double LowestHz = 20, HighestHz = 300;

    /// <summary>Twice the number of ERBs from 20 to 300 Hz, which is 7.007.</summary>
    private const int HalfBandCount = 14;

    /// <summary>Fourteen bands, each half an ERB wide, that fill 20 to 300 Hz without a gap.</summary>
    public static IReadOnlyList<Band> HalfErbBands { get; } = Divide();

    /// <summary>Width of the auditory filter at a frequency: 24.7 (4.37 f / 1000 + 1).</summary>
    public static double BandwidthHz(double frequencyHz) => NarrowestHz * ((PerHz * frequencyHz) + 1);

    /// <summary>How many ERBs lie below a frequency: 21.4 log10(4.37 f / 1000 + 1).</summary>
    public static double Number(double frequencyHz) => PerTenfold * Log10Of2 * PortableMath.Log2((PerHz * frequencyHz) + 1);

    /// <summary>The frequency below which that many ERBs lie.</summary>
    public static double FrequencyHz(double number) => (PortableMath.Exp2(number / (PerTenfold * Log10Of2)) - 1) / PerHz;

    /// <summary>The stretch one ERB wide around a frequency: a part's own band.</summary>
    public static Band Around(double frequencyHz)
    {
        var half = BandwidthHz(frequencyHz) / 2;
        return new("own band", frequencyHz - half, frequencyHz + half);
    }

    private static List<Band> Divide()
    {
        var (from, to) = (Number(LowestHz), Number(HighestHz));
        var edges = Enumerable.Range(0, HalfBandCount + 1).Select(edge => FrequencyHz(from + ((to - from) * edge / HalfBandCount))).ToArray();
        (edges[0], edges[^1]) = (LowestHz, HighestHz);
        return [.. edges.Zip(edges.Skip(1), (low, high) => new Band(FormattableString.Invariant($"{low:0}-{high:0} Hz"), low, high))];
    }
}
