namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// Kaiser's window and his formulas for how long and how steep a filter gets by it (J. F. Kaiser 1974, quoted from memory; the tests hold every filter made
/// with it to the attenuation asked for).
/// </summary>
internal static class Kaiser
{
    /// <summary>The window's shape for a stop band this far down; the formula is for 50 dB and more.</summary>
    public static double Beta(double attenuationDb) => 0.1102 * (attenuationDb - 8.7);

    /// <summary>How many samples long a filter has to be.</summary>
    /// <param name="transition">From the edge of the pass band to that of the stop band, as a fraction of the sample rate.</param>
    public static double LengthSamples(double attenuationDb, double transition) => (attenuationDb - 7.95) / (14.36 * transition);

    /// <summary>The window, not yet divided by its middle, which is <c>BesselI0(beta)</c>.</summary>
    /// <param name="place">From the middle, 0, to either end, 1 or -1.</param>
    public static double Window(double beta, double place) => BesselI0(beta * Math.Sqrt(1 - (place * place)));

    /// <summary>The modified Bessel function of order 0, by its power series: all terms are positive, so nothing cancels.</summary>
    public static double BesselI0(double x)
    {
        var (sum, term) = (1.0, 1.0);
        for (var k = 1; term > sum * 1e-17; k++)
        {
            term *= x / (2 * k) * (x / (2 * k));
            sum += term;
        }

        return sum;
    }
}
