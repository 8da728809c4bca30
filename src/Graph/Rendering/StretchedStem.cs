using RenderGraph.Graph.Contracts;

namespace RenderGraph.Graph.Rendering;

/// <summary>Stretches of a stem one after the other, as if they were all there is.</summary>
/// <param name="stem">Is not owned.</param>
/// <param name="stretches">In the song.</param>
/// <param name="startFrame">Where the stem's first frame lies in the song.</param>
internal sealed class StretchedStem(IStemReader stem, IReadOnlyList<RenderPart> stretches, long startFrame) : IStemReader
{
    // What begins right where two stretches meet may be nothing but the cut.
    private const double CutSeconds = 0.06;

    /// <inheritdoc/>
    public StemFormat Format { get; } = stem.Format with { LengthFrames = stretches.Sum(stretch => stretch.LengthFrames) };

    /// <summary>The song's frame that one of ours is.</summary>
    public long SongFrame(long frame)
    {
        foreach (var stretch in stretches)
        {
            if (frame < stretch.LengthFrames)
                return stretch.FirstFrame + frame;
            frame -= stretch.LengthFrames;
        }

        throw new ArgumentOutOfRangeException(nameof(frame));
    }

    /// <summary>Whether what begins at a frame is not just a cut.</summary>
    public bool IsWhole(long frame)
    {
        var first = 0L;
        foreach (var stretch in stretches)
        {
            if (frame < first + stretch.LengthFrames)
                return first == 0 || frame - first > CutSeconds * stem.Format.SampleRateHz;
            first += stretch.LengthFrames;
        }

        return false;
    }

    /// <inheritdoc/>
    public void Read(long startFrameOfOurs, Signal into)
    {
        var first = 0L;
        into.Clear();
        foreach (var stretch in stretches)
        {
            var (start, end) = (Math.Max(startFrameOfOurs, first), Math.Min(startFrameOfOurs + into.Frames, first + stretch.LengthFrames));
            if (start < end)
                stem.Read(stretch.FirstFrame + start - first - startFrame, into.Slice((int)(start - startFrameOfOurs), (int)(end - start)));
            first += stretch.LengthFrames;
        }
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        // It is somebody else's.
    }
}
