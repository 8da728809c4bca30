using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Document;

namespace RenderGraph.Graph.Planning;

/// <summary>Makes a plan of a validated graph: names become steps, steps get an order, paths their alignment, signals their buffers.</summary>
public static class Planner
{
    /// <summary>Plans a document that has no faults, its nodes made from their entries.</summary>
    /// <inheritdoc cref="Plan(GraphDocument, IReadOnlyDictionary{string, StemFormat}, int, Func{NodeEntry, INode})"/>
    public static RenderPlan Plan(GraphDocument document, IReadOnlyDictionary<string, StemFormat> stems, int sampleRateHz) =>
        Plan(document, stems, sampleRateHz, entry => entry.CreateNode(document, sampleRateHz));

    /// <summary>Plans a document that has no faults. The order in which keys were written plays no part.</summary>
    /// <param name="document">Validated: every name exists, nothing feeds itself.</param>
    /// <param name="stems">What is in each stem's file, by the stem's name.</param>
    /// <param name="sampleRateHz">The rate of all of them.</param>
    /// <param name="createNode">Makes the node of an entry.</param>
    public static RenderPlan Plan(
        GraphDocument document, IReadOnlyDictionary<string, StemFormat> stems, int sampleRateHz, Func<NodeEntry, INode> createNode)
    {
        var lengthFrames = LengthFrames(document, stems, sampleRateHz);
        var drafts = DraftGraph.Of(document, stems, sampleRateHz, lengthFrames, createNode);
        var ordered = TopologicalOrder.Of(LaneGrouping.Of(PathAlignment.Of(drafts)));
        return new(sampleRateHz, lengthFrames, BufferAssignment.Assign(ordered, out var bufferCount), bufferCount);
    }

    /// <summary>The end of the last stem.</summary>
    internal static long LengthFrames(GraphDocument document, IReadOnlyDictionary<string, StemFormat> stems, int sampleRateHz) =>
        Math.Max(0, document.Stems.Select(stem => StartFrame(stem, sampleRateHz) + stems[stem.Id].LengthFrames).DefaultIfEmpty(0).Max());

    /// <summary>Where a stem's first frame lies in the song.</summary>
    public static long StartFrame(StemEntry stem, int sampleRateHz) => Frames(stem.StartMs, sampleRateHz) + stem.AlignedFrames;

    /// <summary>Where the song's first frame lies on the clock of a stem's recorder, in frames since midnight.</summary>
    internal static long OriginFrames(StemEntry stem, StemFormat format, int sampleRateHz)
    {
        var day = 86_400L * sampleRateHz;
        return (long)((((AtRate(format.TimeReferenceFrames ?? 0, format.FileRateHz, sampleRateHz) - StartFrame(stem, sampleRateHz)) % day) + day) % day);
    }

    /// <summary>The nearest frame at another rate; halves go up.</summary>
    internal static Int128 AtRate(long frames, int fromHz, int toHz) => (((Int128)frames * toHz * 2) + fromHz) / (2 * (Int128)fromHz);

    /// <summary>The nearest whole number of frames; halves go away from zero.</summary>
    internal static long Frames(double ms, int sampleRateHz) =>
        (long)Math.Round(ms * sampleRateHz / 1000, MidpointRounding.AwayFromZero);
}
