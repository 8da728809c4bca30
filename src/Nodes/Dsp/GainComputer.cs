namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// The static curve of a compressor with a quadratic knee, as a reduction: D. Giannoulis, M. Massberg and J. D. Reiss, "Digital dynamic range
/// compressor design: a tutorial and analysis", J. Audio Eng. Soc. 60(6), 2012, equation 4. Written without branches: the part of the level
/// inside the knee enters squared, the part above it straight.
/// </summary>
/// <param name="thresholdDb">Middle of the knee.</param>
/// <param name="ratio">Input dB for one output dB above the knee; 1e9 is a limiter.</param>
/// <param name="kneeDb">Width of the knee, 0 for a corner.</param>
public sealed class GainComputer(double thresholdDb, double ratio, double kneeDb)
{
    private readonly double _slope = 1 - (1 / ratio);
    private readonly double _halved = kneeDb == 0 ? 0 : 1 / (2 * kneeDb);

    /// <summary>Up to this level the reduction is exactly 0.</summary>
    public double KneeStartDb { get; } = thresholdDb - (kneeDb / 2);

    /// <summary>By how much a steady level is lowered; 0 or more.</summary>
    public double ReductionDb(double levelDb)
    {
        var over = levelDb - KneeStartDb;
        over = over > 0 ? over : 0;
        var inKnee = over < kneeDb ? over : kneeDb;
        return _slope * ((inKnee * inKnee * _halved) + (over - inKnee));
    }
}
