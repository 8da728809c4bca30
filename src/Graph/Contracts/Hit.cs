namespace RenderGraph.Graph.Contracts;

/// <summary>One stroke of a part: a kick's, say.</summary>
/// <param name="Frame">Its onset, where the sound sets in, not its peak; the stem's or the song's frame, as its finder or keeper says.</param>
/// <param name="Strength">Peak of the stroke over that of the part's loud strokes, both linear, on a step of 0.01: a ghost is 0.3, an accent 1.1.</param>
public readonly record struct Hit(long Frame, double Strength)
{
    /// <summary>No strength is less.</summary>
    public const double MinStrength = 0.01;

    /// <summary>No strength is more.</summary>
    public const double MaxStrength = 4;
}
