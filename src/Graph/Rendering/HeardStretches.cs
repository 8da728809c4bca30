namespace RenderGraph.Graph.Rendering;

/// <summary>What is heard of a song of which not all need be heard: stretches of a few seconds, spread evenly from its start to its end.</summary>
internal static class HeardStretches
{
    private const double StretchSeconds = 4;

    /// <summary>The stretches, in order.</summary>
    /// <param name="mostSeconds">How much is heard at most; null: all of it.</param>
    public static IReadOnlyList<RenderPart> Of(long lengthFrames, double? mostSeconds, int sampleRateHz)
    {
        if (lengthFrames == 0)
            return [];
        if (mostSeconds is not { } most || lengthFrames <= most * sampleRateHz)
            return [new(0, lengthFrames)];
        var count = Math.Max(1, (int)(most / StretchSeconds));
        var frames = (long)(StretchSeconds * sampleRateHz);
        return [.. Enumerable.Range(0, count).Select(index => count == 1 ? 0 : index * (lengthFrames - frames) / (count - 1)).Select(first => new RenderPart(first, first + frames))];
    }

    /// <summary>Frames of the song as they are counted by someone who hears the stretches one after the other; those outside are left out.</summary>
    public static IReadOnlyList<long> Map(IReadOnlyList<long> frames, IReadOnlyList<RenderPart> stretches)
    {
        var (mapped, before) = (new List<long>(), 0L);
        foreach (var stretch in stretches)
        {
            mapped.AddRange(frames.Where(frame => frame >= stretch.FirstFrame && frame < stretch.EndFrame).Select(frame => frame - stretch.FirstFrame + before));
            before += stretch.LengthFrames;
        }

        return mapped;
    }
}
