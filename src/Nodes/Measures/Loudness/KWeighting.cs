using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Loudness;

/// <summary>
/// The frequency weighting of ITU-R BS.1770-5, Annex 1: a shelf for the head, then a high-pass. The standard prints coefficients for 48 kHz only. They are the bilinear
/// transforms of the two analogue filters below, whose numbers were solved from them (from memory; the tests hold the result to the printed coefficients' response). At other
/// rates the same filters are transformed anew. The standard's high-pass is not scaled to unity: at 48 kHz it adds 0.043 dB. That gain is kept at every rate, so
/// that a sound has the same loudness at all of them.
/// </summary>
public static class KWeighting
{
    /// <summary>What the standard adds to the level, so that a 997 Hz sine of full scale in one channel reads -3.01 LUFS.</summary>
    public const double OffsetDb = -0.691;

    private const double ShelfHz = 1681.974450955533, ShelfQ = 0.7071752369554196;
    private const double ShelfGain = 1.5848647011308556; // 10^(3.999843853973347 / 20)
    private const double ShelfBandGain = 1.2587209302325617; // the shelf's gain to the power of 0.4996667741545416

    private const double PassHz = 38.13547087602444, PassQ = 0.5003270373238773;
    private const double PassGain = 1.0049948987146884; // 1 + K/Q + K^2 with K = tan(pi 38.135 / 48000)

    /// <summary>Both filters at a rate, in the order of work.</summary>
    public static IReadOnlyList<Section> Sections(int sampleRateHz) => [Shelf(sampleRateHz), HighPass(sampleRateHz)];

    // (G s^2 + B s/Q + 1) / (s^2 + s/Q + 1)
    private static Section Shelf(int sampleRateHz) =>
        SectionDesign.SecondOrder(ShelfHz, 1 / ShelfQ, direct: ShelfGain, band: (ShelfBandGain - ShelfGain) / ShelfQ, low: 1 - ShelfGain, sampleRateHz);

    private static Section HighPass(int sampleRateHz) =>
        SectionDesign.SecondOrder(PassHz, 1 / PassQ, direct: PassGain, band: -PassGain / PassQ, low: -PassGain, sampleRateHz);
}
