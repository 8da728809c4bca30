namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>Sound that lies in its file as samples, one frame after the other.</summary>
/// <param name="Sound">What it is.</param>
/// <param name="Stored">How a sample lies there.</param>
/// <param name="DataOffset">Where the first frame begins, in bytes.</param>
internal sealed record StoredSound(Sound Sound, StoredSamples Stored, long DataOffset)
{
    /// <summary>Bytes from one frame to the next.</summary>
    public int BytesPerFrame { get; } = Sound.Channels * BytesOf(Stored);

    /// <summary>Bytes a sample takes.</summary>
    public static int BytesOf(StoredSamples stored) => stored switch
    {
        StoredSamples.Unsigned8 or StoredSamples.Signed8 or StoredSamples.ALaw or StoredSamples.MuLaw => 1,
        StoredSamples.Pcm16 or StoredSamples.Pcm16Big => 2,
        StoredSamples.Pcm24 or StoredSamples.Pcm24Big => 3,
        StoredSamples.Float64 or StoredSamples.Float64Big => 8,
        _ => 4,
    };

    /// <summary>Whether a sample may be no finite number.</summary>
    public bool IsFloat => Stored is StoredSamples.Float32 or StoredSamples.Float64 or StoredSamples.Float32Big or StoredSamples.Float64Big;
}
