using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// Sections one after another, run over the planes of a signal. Planes lie side by side in vector lanes; each lane is the arithmetic of
/// <see cref="Section"/> and knows nothing of its neighbours, so wider lanes give the same bits. In every frame whose place in the song is a
/// multiple of <see cref="FlushFrames"/>, before it is worked on, each state below <see cref="RestAmplitude"/> is set to 0: a filter that has died away is
/// exactly at rest, and denormal numbers never slow it down.
/// </summary>
public sealed class SectionCascade
{
    /// <summary>How far apart the frames are at which small states are set to 0.</summary>
    public const int FlushFrames = 256;

    /// <summary>-600 dBFS.</summary>
    public const double RestAmplitude = 1e-30;

    private readonly Lane[] _lanes;

    /// <summary>A cascade at rest. It allocates nothing after this.</summary>
    /// <param name="sections">One at least, in the order of work.</param>
    public SectionCascade(IReadOnlyList<Section> sections)
    {
        ArgumentOutOfRangeException.ThrowIfZero(sections.Count);
        _lanes = [.. sections.Select(section => new Lane(section))];
    }

    /// <summary>Back to rest.</summary>
    public void Reset()
    {
        foreach (ref var lane in _lanes.AsSpan())
            (lane.Band, lane.Low) = (default, default);
    }

    /// <summary>Filters a mono or stereo block; always as many channels from one <see cref="Reset"/> to the next.</summary>
    /// <param name="startFrame">The first frame's place in the song.</param>
    /// <param name="output">May be the input itself.</param>
    public void Process(long startFrame, Signal input, Signal output)
    {
        var last = input.Channels - 1;
        Process(startFrame, input[0], input[last], output[0], output[last]);
    }

    /// <summary>Filters one plane.</summary>
    /// <param name="startFrame">The first frame's place in the song.</param>
    /// <param name="output">May be the input itself.</param>
    public void Process(long startFrame, ReadOnlySpan<double> input, Span<double> output) =>
        Process(startFrame, input, input, output, output);

    // Mono runs as two equal lanes.
    private void Process(long startFrame, ReadOnlySpan<double> left, ReadOnlySpan<double> right, Span<double> leftOut, Span<double> rightOut)
    {
        for (var start = 0; start < left.Length;)
        {
            var place = (int)((startFrame + start) % FlushFrames);
            if (place == 0)
                Flush();
            var count = Math.Min(FlushFrames - place, left.Length - start);
            RunAll(left.Slice(start, count), right.Slice(start, count), leftOut.Slice(start, count), rightOut.Slice(start, count));
            start += count;
        }
    }

    private void RunAll(ReadOnlySpan<double> left, ReadOnlySpan<double> right, Span<double> leftOut, Span<double> rightOut)
    {
        for (var index = 0; index < _lanes.Length; index += 2)
        {
            if (index + 1 < _lanes.Length)
                RunTwo(ref _lanes[index], ref _lanes[index + 1], left, right, leftOut, rightOut);
            else
                RunOne(ref _lanes[index], left, right, leftOut, rightOut);

            // Later sections work on what the first ones gave.
            left = leftOut;
            right = rightOut;
        }
    }

    private void Flush()
    {
        var rest = Vector128.Create(RestAmplitude);
        foreach (ref var lane in _lanes.AsSpan())
        {
            lane.Band = Vector128.AndNot(lane.Band, Vector128.LessThan(Vector128.Abs(lane.Band), rest));
            lane.Low = Vector128.AndNot(lane.Low, Vector128.LessThan(Vector128.Abs(lane.Low), rest));
        }
    }

    private static void RunOne(
        ref Lane state, ReadOnlySpan<double> left, ReadOnlySpan<double> right, Span<double> leftOut, Span<double> rightOut)
    {
        var lane = state;
        for (var frame = 0; frame < left.Length; frame++)
        {
            var y = lane.Step(Vector128.Create(left[frame], right[frame]));
            (leftOut[frame], rightOut[frame]) = (y[0], y[1]);
        }

        state = lane;
    }

    // Two sections on their way together: the second works on a frame while the first begins the next, so neither waits for the other.
    private static void RunTwo(
        ref Lane firstState, ref Lane secondState,
        ReadOnlySpan<double> left, ReadOnlySpan<double> right, Span<double> leftOut, Span<double> rightOut)
    {
        var (first, second) = (firstState, secondState);
        for (var frame = 0; frame < left.Length; frame++)
        {
            var y = second.Step(first.Step(Vector128.Create(left[frame], right[frame])));
            (leftOut[frame], rightOut[frame]) = (y[0], y[1]);
        }

        (firstState, secondState) = (first, second);
    }

    /// <summary>One section for as many planes as there are lanes, each with its own coefficients and states.</summary>
    private struct Lane(Section section)
    {
        public Vector128<double> Band, Low;

        private readonly Vector128<double> _bandDrive = Vector128.Create(section.BandDrive);
        private readonly Vector128<double> _bandLoss = Vector128.Create(section.BandLoss);
        private readonly Vector128<double> _lowDrive = Vector128.Create(section.LowDrive);
        private readonly Vector128<double> _direct = Vector128.Create(section.Direct);
        private readonly Vector128<double> _bandOut = Vector128.Create(section.BandOut);
        private readonly Vector128<double> _lowOut = Vector128.Create(section.LowOut);

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public Vector128<double> Step(Vector128<double> x)
        {
            var difference = x - Low;
            var nextBand = Band + ((_bandDrive * difference) - (_bandLoss * Band));
            var nextLow = Low + ((_bandDrive * Band) + (_lowDrive * difference));
            var y = (_direct * x) + ((_bandOut * (Band + nextBand)) + (_lowOut * (Low + nextLow)));
            (Band, Low) = (nextBand, nextLow);
            return y;
        }
    }
}
