namespace RenderGraph.Graph.Contracts;

/// <summary>Hears a song before and after its treatment, both in step, and tells what has changed. The rules are those of <see cref="IMeter"/>.</summary>
public interface ISongComparer
{
    /// <summary>Makes ready for a song from its start.</summary>
    void Prepare(CompareFormat format);

    /// <summary>Hears the next frames.</summary>
    /// <param name="heard">As <see cref="CompareFormat.Channels"/> says, all equally long and aligned.</param>
    void Hear(ReadOnlySpan<Signal> heard);

    /// <summary>Called once, after the last frame.</summary>
    SongChange Conclude();
}

/// <summary>What a comparer is prepared for.</summary>
/// <param name="SampleRateHz">Frames a second, 8,000 to 384,000.</param>
/// <param name="Channels">Of each signal heard: the song after and before; the anchor as it is heard in each, if <paramref name="Anchor"/> is there; then each of the parts after and before.</param>
/// <param name="MaxBlockFrames">No call brings more.</param>
/// <param name="Anchor">What is known of the anchor; null if it is not heard by itself.</param>
/// <param name="Parts">The parts.</param>
public sealed record CompareFormat(int SampleRateHz, IReadOnlyList<int> Channels, int MaxBlockFrames, ComparedAnchor? Anchor, IReadOnlyList<ComparedPart> Parts)
{
    /// <summary>Whether no more is wanted than a verdict: what can play no role in it may be left out.</summary>
    public bool IsForVerdict { get; init; }

    /// <summary>Why what concerns the anchor cannot be told; null if it can.</summary>
    public string? NoAnchor { get; init; }

    /// <summary>Why what concerns the parts cannot be told; null if it can.</summary>
    public string? NoParts { get; init; }

    /// <summary>Two songs and nothing else: two finished files.</summary>
    public static CompareFormat OfTwo(int sampleRateHz, int afterChannels, int beforeChannels, int maxBlockFrames, string noStems) =>
        new(sampleRateHz, [afterChannels, beforeChannels], maxBlockFrames, null, []) { NoAnchor = noStems, NoParts = noStems };
}

/// <summary>The anchor, as far as it is known when comparing begins.</summary>
/// <param name="HitFrames">Its onsets in order, counted from the first frame heard; null if nobody looked for them.</param>
/// <param name="FrequencyHz">Where its low note sits; null if not known.</param>
/// <param name="IsHeard">Whether it is part of the song; if not, it only steers, and what is heard of it is its stem.</param>
public sealed record ComparedAnchor(IReadOnlyList<long>? HitFrames, double? FrequencyHz, bool IsHeard);

/// <summary>A part of the song.</summary>
/// <param name="Name">Its name.</param>
/// <param name="GainDb">By how much more than it is heard here it is turned up after than before.</param>
public sealed record ComparedPart(string Name, double GainDb = 0);
