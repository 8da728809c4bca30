namespace RenderGraph.Songs;

/// <summary>What may be wrong with a song's folder.</summary>
public enum Breakage
{
    /// <summary>The part that owns the low end was not exported.</summary>
    MissingAnchor,

    /// <summary>A stem is a text file with an audio file's name.</summary>
    Unreadable,

    /// <summary>A stem was cut inside its header.</summary>
    CutInHeader,

    /// <summary>A stem was cut inside its sound; what is left can be read.</summary>
    CutInSound,

    /// <summary>A stem holds no byte.</summary>
    Empty,

    /// <summary>A stem was exported at another sample rate.</summary>
    MixedRates,

    /// <summary>A stem holds a sample that is not a number.</summary>
    NotANumber,

    /// <summary>Another stem is called as the one that owns the low end.</summary>
    TwoAnchors,

    /// <summary>The part that owns the low end is silent from beginning to end.</summary>
    SilentAnchor,

    /// <summary>A song.json that misspells a key.</summary>
    MisspelledSettings,

    /// <summary>There is no audio file at all.</summary>
    NoStems,
}
