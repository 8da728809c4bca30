namespace RenderGraph.Nodes.Measures.Stems;

/// <summary>The low end at a rate of its own, where measuring it costs little: a power of two below the song's rate, 1200 to 2400 Hz. Exact up to 400 Hz.</summary>
/// <param name="Factor">Frames of the song for each frame of the low band.</param>
/// <param name="SampleRateHz">Its own rate.</param>
public readonly record struct LowBand(int Factor, double SampleRateHz)
{
    /// <summary>Up to here nothing is lost.</summary>
    public const double PassHz = 400;

    private const double LeastRateHz = 1200;

    /// <summary>The low band of a song.</summary>
    public static LowBand Of(int sampleRateHz)
    {
        var factor = 1;
        while (sampleRateHz / (2.0 * factor) >= LeastRateHz)
            factor *= 2;
        return new(factor, (double)sampleRateHz / factor);
    }

    /// <summary>How many of its frames a song has.</summary>
    public long FramesOf(long songFrames) => (songFrames + Factor - 1) / Factor;

    /// <summary>Its frame nearest to a frame of the song.</summary>
    public long Nearest(long songFrame) => (long)Math.Round((double)songFrame / Factor);
}
