namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// Half-band low-passes of odd length: every second tap is 0 but for the middle one, which is 1/2, and the response is symmetric about a quarter of the
/// rate: what one band lets through by 1 - d, its mirror image lets through by d. So they halve and double a rate at a quarter of the usual work.
/// </summary>
public static class HalfBand
{
    /// <summary>
    /// The taps left and right of the middle that are not 0, outermost first, each times 2: those of one side add up to 1/2. A windowed sinc with
    /// <see cref="Kaiser"/>'s window.
    /// </summary>
    /// <param name="passEdge">Up to where it is flat, as a fraction of the higher rate, below 1/4. From 1/2 - passEdge on it stops.</param>
    /// <param name="attenuationDb">How far down it stops, 60 to 180; the pass band ripples by as little.</param>
    public static double[] Design(double passEdge, double attenuationDb)
    {
        // The formulas are fits to long filters: short ones fall up to 7 dB behind.
        attenuationDb += 8;
        var transition = 0.5 - (2 * passEdge);
        var pairs = (int)Math.Ceiling((Kaiser.LengthSamples(attenuationDb, transition) + 2) / 4);
        var beta = Kaiser.Beta(attenuationDb);

        var weights = new double[pairs];
        var sum = 0.0;
        for (var index = 0; index < pairs; index++)
        {
            var distance = (2 * (pairs - index)) - 1;
            var place = distance / (2.0 * pairs);
            var window = Kaiser.Window(beta, place) / Kaiser.BesselI0(beta);
            weights[index] = (distance % 4 == 1 ? 2 : -2) * window / (PortableMath.Pi * distance);
            sum += weights[index];
        }

        // A constant passes at exactly unity, as near as rounding allows.
        for (var index = 0; index < pairs; index++)
            weights[index] *= 0.5 / sum;
        return weights;
    }
}
