using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.Measures.Stems;

/// <summary>A stem to be measured, at its place in the song.</summary>
/// <param name="Name">Its name in the graph, or one made from its file.</param>
/// <param name="Reader">Open, at the gain that it has in the song.</param>
/// <param name="StartFrame">Where its first frame lies in the song; below 0 its beginning is cut off.</param>
/// <param name="IsMuted">Measured by itself, but left out of every sum.</param>
public sealed record SongStem(string Name, IStemReader Reader, long StartFrame = 0, bool IsMuted = false)
{
    /// <summary>The song's frame after its last.</summary>
    public long EndFrame => Math.Max(0, StartFrame + Reader.Format.LengthFrames);

    /// <summary>Reads from a frame of the song on.</summary>
    /// <exception cref="StemException">The file changed or failed.</exception>
    public void Read(long songFrame, Signal into) => Reader.Read(songFrame - StartFrame, into);
}
