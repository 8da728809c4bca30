namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>How a stem's samples lie in its file, little-endian unless they are named big, one frame after the other.</summary>
internal enum StoredSamples
{
    /// <summary>8-bit PCM: 0 to 255.</summary>
    Unsigned8,

    /// <summary>PCM in two bytes.</summary>
    Pcm16,

    /// <summary>PCM in three bytes.</summary>
    Pcm24,

    /// <summary>PCM in four bytes.</summary>
    Pcm32,

    /// <summary>Floating point in four bytes.</summary>
    Float32,

    /// <summary>Floating point in eight bytes.</summary>
    Float64,

    /// <summary>8-bit PCM: -128 to 127.</summary>
    Signed8,

    /// <summary>Big-endian PCM in two bytes.</summary>
    Pcm16Big,

    /// <summary>Big-endian PCM in three bytes.</summary>
    Pcm24Big,

    /// <summary>Big-endian PCM in four bytes.</summary>
    Pcm32Big,

    /// <summary>Big-endian floating point in four bytes.</summary>
    Float32Big,

    /// <summary>Big-endian floating point in eight bytes.</summary>
    Float64Big,

    /// <summary>A-law (ITU-T G.711) in one byte.</summary>
    ALaw,

    /// <summary>mu-law (ITU-T G.711) in one byte.</summary>
    MuLaw,
}
