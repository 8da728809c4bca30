using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp.Lanes;

namespace RenderGraph.Nodes.Dsp;

/// <summary>Sections one after another, run over the planes of one signal. Its rules are those of a <see cref="SectionBank"/>, which takes many signals.</summary>
/// <param name="sections">One at least, in the order of work.</param>
public sealed class SectionCascade(IReadOnlyList<Section> sections)
{
    private readonly SectionStrip<Lanes2> _strip = new([sections, sections]);

    /// <summary>Whether every state is exactly 0: silence in gives silence out.</summary>
    public bool IsAtRest => _strip.IsAtRest;

    /// <summary>Filters a mono or stereo block; of one cascade always as many channels.</summary>
    /// <param name="startFrame">The first frame's place in the song or the render: it only has to count on, from one block to the next.</param>
    /// <param name="output">May be the input itself.</param>
    public void Process(long startFrame, Signal input, Signal output)
    {
        var last = input.Channels - 1;
        Process(startFrame, input[0], input[last], output[0], output[last]);
    }

    /// <summary>Filters one plane.</summary>
    /// <param name="startFrame">The first frame's place in the song or the render: it only has to count on, from one block to the next.</param>
    /// <param name="output">May be the input itself.</param>
    public void Process(long startFrame, ReadOnlySpan<double> input, Span<double> output) =>
        Process(startFrame, input, input, output, output);

    // Mono runs as two equal lanes.
    private void Process(long startFrame, ReadOnlySpan<double> left, ReadOnlySpan<double> right, Span<double> leftOut, Span<double> rightOut)
    {
        for (var start = 0; start < left.Length;)
        {
            var place = SectionBank.PlaceOf(startFrame + start);
            var count = Math.Min(SectionBank.FlushFrames - place, left.Length - start);
            var lanes = LaneScratch.Of(0, count * Lanes2.Count);
            Interleave.TwoInto(lanes, Lanes2.Count, 0, left.Slice(start, count), right.Slice(start, count));
            _strip.Run(lanes, settleFirst: place == 0);
            Interleave.TwoOutOf(lanes, Lanes2.Count, 0, leftOut.Slice(start, count), rightOut.Slice(start, count));
            start += count;
        }
    }
}
