namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// Smooths a reduction over time: the smooth decoupled peak detector of Giannoulis, Massberg and Reiss 2012, equation 17. The release holds on to
/// peaks at once and lets go slowly; the attack smooths what it holds. Seen at the output, a release therefore takes about one attack longer.
/// </summary>
/// <param name="attackFrames">After so many frames 63 % of a step up is covered.</param>
/// <param name="releaseFrames">After so many frames 63 % of a step down is covered, before the attack smooths it.</param>
public sealed class SmoothDecoupledDetector(double attackFrames, double releaseFrames)
{
    /// <summary>A reduction that has died away to this is 0.</summary>
    public const double RestDb = 1e-7;

    private readonly double _attack = PortableMath.Exp(-1 / attackFrames);
    private readonly double _release = PortableMath.Exp(-1 / releaseFrames);
    private double _held, _smooth;

    /// <summary>Whether nothing is being reduced: as long as 0 comes in, exactly 0 goes out.</summary>
    public bool IsAtRest => _held == 0 && _smooth == 0;

    /// <summary>Replaces static reductions, 0 dB or more, by smoothed ones.</summary>
    public void Smooth(Span<double> reductionDb)
    {
        var (held, smooth, attack, release) = (_held, _smooth, _attack, _release);
        var (attackStep, releaseStep) = (1 - attack, 1 - release);
        for (var frame = 0; frame < reductionDb.Length; frame++)
        {
            var target = reductionDb[frame];
            var fading = (release * held) + (releaseStep * target);
            held = target > fading ? target : fading;
            held = held < RestDb ? 0 : held;
            smooth = (attack * smooth) + (attackStep * held);
            smooth = smooth < RestDb && held == 0 ? 0 : smooth;
            reductionDb[frame] = smooth;
        }

        (_held, _smooth) = (held, smooth);
    }
}
