namespace RenderGraph.Graph.Contracts;

/// <summary>
/// Hears signals and leaves numbers; changes nothing. The rules are those of <see cref="INode"/>: <see cref="Prepare"/> allocates all and leaves no residue,
/// <see cref="Hear"/> allocates nothing, memory does not grow with the song, and no number depends on how the frames are cut into blocks, nor on the machine.
/// </summary>
public interface IMeter
{
    /// <summary>Makes ready for a signal from its start.</summary>
    void Prepare(MeterFormat format);

    /// <summary>Hears the next frames, without a gap from the first that is to be measured.</summary>
    /// <param name="heard">One signal for each port of the meter's type, all equally long and aligned.</param>
    void Hear(ReadOnlySpan<Signal> heard);

    /// <summary>Called once, after the last frame.</summary>
    /// <returns>One entry for each measure that the meter was made for, in the order of its type.</returns>
    IReadOnlyList<Measurement> Conclude();
}

/// <summary>What a meter is prepared for.</summary>
/// <param name="SampleRateHz">Frames a second, 8,000 to 384,000.</param>
/// <param name="Channels">Of each port's signal.</param>
/// <param name="MaxBlockFrames">No call brings more.</param>
public sealed record MeterFormat(int SampleRateHz, IReadOnlyList<int> Channels, int MaxBlockFrames)
{
    /// <summary>The anchor; null in a graph without one.</summary>
    public MeterAnchor? Anchor { get; init; }

    /// <summary>Whether what is measured is heard in the mix: if not, <see cref="MeterPort.PartOfMix"/> is the mix itself and means nothing.</summary>
    public bool IsInMix { get; init; }
}

/// <summary>What is known of the anchor when measuring begins.</summary>
/// <param name="HitFrames">Its onsets in order, counted from the first frame heard; null if nobody looked for them.</param>
/// <param name="FrequencyHz">Where its low note sits; null if not known.</param>
/// <param name="IsWithin">Whether it is heard in what is measured, and is a part of it.</param>
public sealed record MeterAnchor(IReadOnlyList<long>? HitFrames, double? FrequencyHz, bool IsWithin);

/// <summary>What one measure gave: a finite number, or the reason why there is none.</summary>
/// <param name="Name">camelCase, the unit at its end: <c>integratedLufs</c>.</param>
/// <param name="Value">Null if it could not be measured.</param>
/// <param name="Reason">Why not: completes "not measurable: ". Null if there is a value.</param>
/// <param name="AtFrame">Where the value was found, counted from the first frame heard; the end of the window for what has one. Null if it belongs to no place.</param>
public sealed record Measurement(string Name, double? Value, string? Reason = null, long? AtFrame = null)
{
    /// <summary>No number, but a reason.</summary>
    public static Measurement None(string name, string reason) => new(name, null, reason);
}
