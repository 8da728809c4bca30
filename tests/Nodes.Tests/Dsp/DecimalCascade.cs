namespace RenderGraph.Nodes.Tests.Dsp;

/// <summary>
/// A Butterworth cascade with 28 decimal digits and another structure: direct-form biquads by the W3C note "Audio EQ Cookbook". Slow and independent of the engine.
/// </summary>
internal static class DecimalCascade
{
    private const decimal Pi = 3.1415926535897932384626433833m;

    public static decimal[] Run(decimal[] input, bool isHighPass, int frequencyHz, int order, int sampleRateHz)
    {
        var signal = (decimal[])input.Clone();
        var corner = 2 * Pi * frequencyHz / sampleRateHz;
        var cos = Sin((Pi / 2) - corner);
        for (var pair = 0; pair < order / 2; pair++)
        {
            // alpha = sin(corner) / (2Q), and 1/Q = 2 sin(pi (2 pair + 1) / (2 order)).
            var alpha = Sin(corner) * Sin(Pi * ((2 * pair) + 1) / (2 * order));
            var a0 = 1 + alpha;
            var b0 = (isHighPass ? 1 + cos : 1 - cos) / 2 / a0;
            var b1 = isHighPass ? -2 * b0 : 2 * b0;
            var (a1, a2) = (-2 * cos / a0, (1 - alpha) / a0);
            decimal x1 = 0, x2 = 0, y1 = 0, y2 = 0;
            for (var frame = 0; frame < signal.Length; frame++)
            {
                var x = signal[frame];
                var y = (b0 * x) + (b1 * x1) + (b0 * x2) - (a1 * y1) - (a2 * y2);
                (x2, x1, y2, y1) = (x1, x, y1, y);
                signal[frame] = y;
            }
        }

        return signal;
    }

    // The power series, until terms no longer count.
    private static decimal Sin(decimal x)
    {
        var (sum, term) = (x, x);
        for (var k = 2; Math.Abs(term) > 1e-28m; k += 2)
        {
            term *= -x * x / (k * (k + 1));
            sum += term;
        }

        return sum;
    }
}
