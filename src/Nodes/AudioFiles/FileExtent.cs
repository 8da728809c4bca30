using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.AudioFiles;

/// <summary>A stem is silent before its file's first frame and after its last.</summary>
internal static class FileExtent
{
    /// <summary>Silences what of a block lies outside a file, and gives the rest: no frames, or those from <paramref name="first"/> on.</summary>
    /// <param name="startFrame">Where in the file the block starts; it may lie before it or behind it.</param>
    public static Signal Inside(this Signal block, long startFrame, long lengthFrames, out long first)
    {
        first = Math.Clamp(startFrame, 0, lengthFrames);
        var end = Math.Clamp(startFrame + block.Frames, first, lengthFrames);
        var (before, count) = (end == first ? block.Frames : (int)(first - startFrame), (int)(end - first));
        block.Slice(0, before).Clear();
        block.Slice(before + count, block.Frames - before - count).Clear();
        return block.Slice(before, count);
    }
}
