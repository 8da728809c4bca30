namespace RenderGraph.Nodes.Dsp;

/// <summary>Windowed-sinc low-passes of odd length after Kaiser's formulas (J. F. Kaiser 1974, quoted from memory; tests hold the result to the attenuation asked for).</summary>
public static class KaiserWindow
{
    /// <summary>A linear-phase low-pass that passes a constant at unity.</summary>
    /// <param name="passEdge">Up to where it is flat, as a fraction of the sample rate.</param>
    /// <param name="stopEdge">From where it stops, as a fraction of the sample rate, above <paramref name="passEdge"/>.</param>
    /// <param name="attenuationDb">How far down it stops, 60 to 140.</param>
    public static double[] LowPass(double passEdge, double stopEdge, double attenuationDb)
    {
        var half = (int)Math.Ceiling((attenuationDb - 7.95) / (14.36 * (stopEdge - passEdge)) / 2);
        var beta = 0.1102 * (attenuationDb - 8.7);
        var cutoff = passEdge + stopEdge; // both sides of the middle, as a fraction of half the rate
        var taps = new double[(2 * half) + 1];
        var sum = 0.0;
        for (var index = 0; index < taps.Length; index++)
        {
            var place = index - half;
            var ratio = place / (half + 1.0);
            var sinc = place == 0 ? cutoff : PortableMath.Sin(Math.PI * cutoff * place) / (Math.PI * place);
            taps[index] = sinc * BesselI0(beta * Math.Sqrt(1 - (ratio * ratio)));
            sum += taps[index];
        }

        for (var index = 0; index < taps.Length; index++)
            taps[index] /= sum;
        return taps;
    }

    // The modified Bessel function of order 0, by its power series: all terms are positive, so nothing cancels.
    private static double BesselI0(double x)
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
