using System.Numerics;

namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// A second-order filter section as a trapezoidal state-variable filter: two integrators, <c>band</c> and <c>low</c>, both 0 at rest. One sample is,
/// in exactly this order and without fused operations (vector lanes do the same, so they give the same bits):
/// <code>
/// difference = x - low
/// nextBand   = band + (BandDrive * difference - BandLoss * band)
/// nextLow    = low + (BandDrive * band + LowDrive * difference)
/// y          = InputOut * x + (BandOut * band + LowOut * low)
/// </code>
/// States move by increments, so a low corner at a high rate costs no precision: no coefficient is "one minus something tiny".
/// A first-order section has <see cref="BandDrive"/> and <see cref="BandLoss"/> 0. Made by <see cref="SectionDesign"/>.
/// </summary>
/// <param name="BandDrive">How strongly the difference drives band, and band drives low: 2g / (1 + g(g + k)), g the pre-warped corner, k = 1/Q.</param>
/// <param name="BandLoss">How fast band fades: BandDrive (g + k).</param>
/// <param name="LowDrive">How directly low follows the difference: BandDrive g.</param>
/// <param name="InputOut">Share of the input in the output.</param>
/// <param name="BandOut">Share of band, as it was before this sample, in the output.</param>
/// <param name="LowOut">Share of low, as it was before this sample, in the output.</param>
public readonly record struct Section(
    double BandDrive, double BandLoss, double LowDrive, double InputOut, double BandOut, double LowOut)
{
    /// <summary>A section whose output is <c>direct * x + band * (mean of band's two ends) + low * (mean of low's two ends)</c>: the trapezoid itself.</summary>
    internal static Section Of(double bandDrive, double bandLoss, double lowDrive, double direct, double band, double low)
    {
        // The ends' means, with the states' own steps put in; what belongs to the difference goes to the input and, with its sign changed, to low.
        var difference = ((band * bandDrive) + (low * lowDrive)) / 2;
        return new(
            bandDrive, bandLoss, lowDrive, direct + difference, (band * (1 - (bandLoss / 2))) + (low * bandDrive / 2), low - difference);
    }

    /// <summary>The section's transfer function at <paramref name="frequencyHz"/>, exact for the six numbers as they stand.</summary>
    public Complex Response(double frequencyHz, double sampleRateHz)
    {
        // The loop's z-transform in w = z - 1, which keeps its digits near 0 Hz.
        var half = Math.PI * frequencyHz / sampleRateHz;
        var (sin, cos) = (PortableMath.Sin(half), PortableMath.Cos(half));
        var w = new Complex(-2 * sin * sin, 2 * sin * cos);
        if (BandDrive == 0)
            return InputOut + (LowOut * LowDrive / (w + LowDrive));

        var low = (BandDrive * BandDrive) + (LowDrive * (w + BandLoss));
        return InputOut + (((BandOut * BandDrive * w) + (LowOut * low)) / ((w * (w + BandLoss)) + low));
    }
}
