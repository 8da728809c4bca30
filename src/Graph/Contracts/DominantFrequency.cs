namespace RenderGraph.Graph.Contracts;

/// <summary>Where the low note of a part's hits sits, once the sweep at their start is over.</summary>
/// <param name="FrequencyHz">Weighted by the hits' energy, on a step of 0.1 Hz.</param>
/// <param name="SpreadHz">Half of the hits' energy lies within this distance of it, on a step of 0.1 Hz.</param>
/// <param name="Confidence">From 0, the hits do not agree on a note, to 1, on a step of 0.01.</param>
/// <param name="HitCount">Hits that it was heard in.</param>
public sealed record DominantFrequency(double FrequencyHz, double SpreadHz, double Confidence, int HitCount)
{
    /// <summary>Below this the number is a guess: the person is warned and told what to do.</summary>
    public const double LowConfidence = 0.5;
}
