using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.AudioFiles;

/// <summary>One kind of file that is read.</summary>
/// <param name="Matches">Whether it is of this kind, by its first <see cref="FileKind.Bytes"/> bytes.</param>
/// <param name="Open">Opens it: null, after one error, if it is refused. Warnings are only passed on if it is not.</param>
internal sealed record AudioFileKind(AudioFileKind.Sniff Matches, Func<StemFile, StemRequest, StemReport, IStemReader?> Open)
{
    /// <summary>Looks at a file's first bytes.</summary>
    public delegate bool Sniff(ReadOnlySpan<byte> start);
}
