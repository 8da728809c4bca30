using System.Numerics;

namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// A second-order filter section as a trapezoidal state-variable filter: two integrators, <c>band</c> and <c>low</c>, both 0 at rest. One sample is,
/// in exactly this order and without fused operations (vector lanes do the same, so they give the same bits):
/// <code>
/// difference = x - low
/// nextBand   = band + (BandDrive * difference - BandLoss * band)
/// nextLow    = low + (BandDrive * band + LowDrive * difference)
/// y          = Direct * x + (BandOut * (band + nextBand) + LowOut * (low + nextLow))
/// </code>
/// States move by increments, so a low corner at a high rate costs no precision: no coefficient is "one minus something tiny".
/// A first-order section has <see cref="BandDrive"/> and <see cref="BandLoss"/> 0. Made by <see cref="SectionDesign"/>.
/// </summary>
/// <param name="BandDrive">How strongly the difference drives band, and band drives low: 2g / (1 + g(g + k)), g the pre-warped corner, k = 1/Q.</param>
/// <param name="BandLoss">How fast band fades: BandDrive (g + k).</param>
/// <param name="LowDrive">How directly low follows the difference: BandDrive g.</param>
/// <param name="Direct">Share of the input in the output.</param>
/// <param name="BandOut">Share of band in the output, halved: the loop adds its two ends instead of averaging them.</param>
/// <param name="LowOut">Share of low in the output, halved likewise.</param>
public readonly record struct Section(
    double BandDrive, double BandLoss, double LowDrive, double Direct, double BandOut, double LowOut)
{
    /// <summary>The section's transfer function at <paramref name="frequencyHz"/>, exact for the six numbers as they stand.</summary>
    public Complex Response(double frequencyHz, double sampleRateHz)
    {
        // The loop's z-transform in w = z - 1, which keeps its digits near 0 Hz. resonance = BandDrive^2 + BandLoss LowDrive.
        var half = Math.PI * frequencyHz / sampleRateHz;
        var (sin, cos) = (PortableMath.Sin(half), PortableMath.Cos(half));
        var w = new Complex(-2 * sin * sin, 2 * sin * cos);
        var resonance = (BandDrive * BandDrive) + (BandLoss * LowDrive);
        var quadratic = Direct + (BandOut * BandDrive) + (LowOut * LowDrive);
        var linear = (Direct * (BandLoss + LowDrive)) + (2 * BandOut * BandDrive) + (LowOut * (resonance + (2 * LowDrive)));
        var constant = resonance * (Direct + (2 * LowOut));
        if (BandDrive == 0)
            return (Direct * (w + LowDrive) + (LowOut * LowDrive * (w + 2))) / (w + LowDrive);

        return ((((quadratic * w) + linear) * w) + constant) / (((w + BandLoss + LowDrive) * w) + resonance);
    }
}
