using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Comparing;

/// <summary>Two finished files, compared where both of them play.</summary>
/// <param name="ShiftFrames">How much later the second plays what the first does.</param>
/// <param name="HeardFrames">How much was compared.</param>
/// <param name="Change">From the first to the second.</param>
public sealed record FilePair(long ShiftFrames, long HeardFrames, SongChange Change)
{
    private const int BlockFrames = 4096;

    /// <summary>Lines them up and streams both through. Memory does not grow with their length.</summary>
    /// <param name="before">The first.</param>
    /// <param name="after">The second, of the same sample rate.</param>
    /// <exception cref="StemException">A file failed while being read.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static FilePair Measure(IStemReader before, IStemReader after, CancellationToken cancellation)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        var shift = PairShift.Find(before, after, cancellation);
        var start = Math.Max(0, -shift);
        var frames = Math.Max(0, Math.Min(before.Format.LengthFrames, after.Format.LengthFrames - shift) - start);
        var comparer = new SongComparer();
        comparer.Prepare(CompareFormat.OfTwo(
            before.Format.SampleRateHz, after.Format.Channels, before.Format.Channels, BlockFrames, "two finished files do not tell the anchor and the parts: compare the graphs, which know the stems"));
        var (one, two) = (Signal.Allocate(before.Format.Channels, BlockFrames), Signal.Allocate(after.Format.Channels, BlockFrames));
        for (var done = 0L; done < frames; done += BlockFrames)
        {
            cancellation.ThrowIfCancellationRequested();
            var count = (int)Math.Min(BlockFrames, frames - done);
            var (earlier, later) = (one.Slice(0, count), two.Slice(0, count));
            before.Read(start + done, earlier);
            after.Read(start + shift + done, later);
            comparer.Hear([later, earlier]);
        }

        return new(shift, frames, comparer.Conclude());
    }
}
