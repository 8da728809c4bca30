using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.Measures;

/// <summary>The mean of a signal's channels: what a part is in the low end, which is played in mono. What cancels between the sides is not in it.</summary>
public static class Mono
{
    /// <summary>A mono block's own samples, or the mean of a stereo one's sides.</summary>
    /// <param name="scratch">At least as long as the block.</param>
    public static ReadOnlySpan<double> Of(Signal block, double[] scratch)
    {
        if (block.Channels == 1)
            return block[0];
        var left = block[0];
        var right = block[1];
        var mean = scratch.AsSpan(0, block.Frames);
        for (var frame = 0; frame < mean.Length; frame++)
            mean[frame] = (left[frame] + right[frame]) / 2;
        return mean;
    }
}
