using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.AudioFiles.Decoding;

/// <summary>Decodes a file whose sound must be worked out from its beginning on, block by block. One thread at a time.</summary>
internal interface ISequentialDecoder
{
    /// <summary>Frames of a block, at most.</summary>
    int MostFrames { get; }

    /// <summary>Decodes the next block into the first frames of <paramref name="into"/>, which has all the file's channels and at least <see cref="MostFrames"/>.</summary>
    /// <returns>Its frames; 0 at the end.</returns>
    /// <exception cref="StemException">The file is damaged there, or fails.</exception>
    int Decode(Signal into);

    /// <summary>Goes to a block from which <paramref name="frame"/> can be reached, to the same bits as from the beginning.</summary>
    /// <returns>The first frame that <see cref="Decode"/> gives next, not past the one asked for.</returns>
    /// <exception cref="StemException">The file is damaged there, or fails.</exception>
    long Seek(long frame);
}
