using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Rendering;

/// <summary>The stretch of an output that is written.</summary>
/// <param name="FirstFrame">In the song.</param>
/// <param name="EndFrame">The frame after the last.</param>
internal readonly record struct RenderPart(long FirstFrame, long EndFrame)
{
    public long LengthFrames => EndFrame - FirstFrame;

    /// <summary>What of it lies in a stretch of the song; nothing if they do not meet.</summary>
    public RenderPart Within(Stretch? stretch, int sampleRateHz)
    {
        if (stretch is not { } limits)
            return this;
        var first = (long)Math.Round(Math.Clamp(limits.FromSeconds * sampleRateHz, FirstFrame, EndFrame), MidpointRounding.AwayFromZero);
        return new(first, (long)Math.Round(Math.Clamp(limits.ToSeconds * sampleRateHz, first, EndFrame), MidpointRounding.AwayFromZero));
    }

    /// <summary>Which frames of a block belong to the part, or null if none.</summary>
    /// <param name="blockFrame">The block's first frame in the song.</param>
    public (int Start, int Count)? In(long blockFrame, int frames)
    {
        var (start, end) = (Math.Max(0, FirstFrame - blockFrame), Math.Min(frames, EndFrame - blockFrame));
        return start < end ? ((int)start, (int)(end - start)) : null;
    }

    /// <summary>What the options ask of an output of that length; nothing if it ends before the part begins.</summary>
    public static RenderPart Of(RenderOptions options, int sampleRateHz, long lengthFrames)
    {
        var end = Math.Clamp(FrameAt(options.ToSeconds) ?? lengthFrames, 0, lengthFrames);
        return new(Math.Clamp(FrameAt(options.FromSeconds) ?? 0, 0, end), end);

        long? FrameAt(double? seconds) =>
            seconds is { } at ? (long)Math.Round(Math.Clamp(at * sampleRateHz, 0, lengthFrames), MidpointRounding.AwayFromZero) : null;
    }
}
