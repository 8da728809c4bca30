namespace RenderGraph.Nodes.Measures.Checks;

/// <summary>What is to be known about stems before work on them begins.</summary>
public enum CheckKind
{
    /// <summary>Nothing in it rises above -80 dBFS.</summary>
    Silent,

    /// <summary>Samples in a row lie at full scale: <see cref="Check.Value"/> places.</summary>
    Clipped,

    /// <summary>A constant offset: <see cref="Check.Value"/> dBFS.</summary>
    Dc,

    /// <summary>Sound from 6 to 20 Hz: <see cref="Check.Value"/> dB against its low end.</summary>
    Subsonic,

    /// <summary>One side is upside down: what mono leaves of the low end is <see cref="Check.Value"/> dB.</summary>
    SidesCancel,

    /// <summary>The same samples as <see cref="Check.Other"/>.</summary>
    Duplicate,

    /// <summary>Its low end already steps back while the anchor hits, by <see cref="Check.Value"/> dB at the median: it is ducked, or played around it.</summary>
    AlreadyDucked,

    /// <summary>By the clock of its recorder it begins <see cref="Check.Value"/> seconds later in the song than it is placed (below 0: earlier).</summary>
    Start,

    /// <summary>It is <see cref="Check.Value"/> seconds shorter (above 0: longer) than most.</summary>
    Length,
}
