namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>How a stem's samples lie in its file, little-endian, one frame after the other.</summary>
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
}
