using System.Runtime.Intrinsics;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp.Lanes;

namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// Many planes at once, each through as many sections in a row as the others but with coefficients of its own. Planes lie side by side in vector
/// lanes; each lane is the arithmetic of <see cref="Section"/> and knows nothing of its neighbours, so any width gives the same bits. In every frame whose
/// place in the song is a multiple of <see cref="FlushFrames"/>, before it is worked on, each state below <see cref="RestAmplitude"/> is set to 0: a filter that
/// has died away is exactly at rest, and denormal numbers never slow it down.
/// </summary>
public sealed class SectionBank
{
    /// <summary>How far apart the frames are at which small states are set to 0.</summary>
    public const int FlushFrames = 256;

    /// <summary>-600 dBFS.</summary>
    public const double RestAmplitude = 1e-30;

    /// <summary>Planes that one strip takes.</summary>
    internal const int WidestLanes = 8;

    private readonly (SectionStrip Strip, Plane[] Planes)[] _strips;

    /// <summary>A bank at rest. It allocates nothing after this.</summary>
    /// <param name="signals">For each signal its channels and its sections in the order of work, one at least; all have as many.</param>
    public SectionBank(IReadOnlyList<(int Channels, IReadOnlyList<Section> Sections)> signals)
    {
        var strips = new List<(SectionStrip, Plane[])>();
        var planes = new List<Plane>();
        for (var signal = 0; signal < signals.Count; signal++)
        {
            // A signal's planes stay together, so that a strip can tell whether it is silent.
            if (planes.Count + signals[signal].Channels > WidestLanes)
                EndStrip();
            for (var channel = 0; channel < signals[signal].Channels; channel++)
                planes.Add(new(signal, channel));
        }

        EndStrip();
        _strips = [.. strips];

        void EndStrip()
        {
            strips.Add((StripOf([.. planes.Select(plane => signals[plane.Signal].Sections)]), [.. planes]));
            planes.Clear();
        }
    }

    /// <summary>Filters the next block of every signal.</summary>
    /// <param name="startFrame">The first frame's place in the song or the render: it only has to count on, from one block to the next.</param>
    /// <param name="outputs">May be the inputs themselves.</param>
    public void Process(long startFrame, ReadOnlySpan<Signal> inputs, ReadOnlySpan<Signal> outputs)
    {
        var frames = outputs[0].Frames;
        for (var index = 0; index < _strips.Length; index++)
        {
            var (strip, planes) = _strips[index];
            if (strip.IsAtRest && AreSilent(planes, inputs))
            {
                foreach (var plane in planes)
                    outputs[plane.Signal].Silence();
                continue;
            }

            var hasNeighbour = index + 1 < _strips.Length;
            var (neighbour, besides) = hasNeighbour ? _strips[index + 1] : default;
            if (hasNeighbour && !(neighbour.IsAtRest && AreSilent(besides, inputs)) && strip.CanRunBeside(neighbour))
                index++;
            else
                neighbour = null;

            for (var start = 0; start < frames;)
            {
                var place = PlaceOf(startFrame + start);
                var count = Math.Min(FlushFrames - place, frames - start);
                var lanes = LaneScratch.Of(0, count * strip.LaneCount);
                Gather(planes, inputs, start, count, lanes, strip.LaneCount);
                if (neighbour is null)
                {
                    strip.Run(lanes, settleFirst: place == 0);
                }
                else
                {
                    var besideLanes = LaneScratch.Of(1, count * neighbour.LaneCount);
                    Gather(besides, inputs, start, count, besideLanes, neighbour.LaneCount);
                    strip.RunBeside(lanes, neighbour, besideLanes, settleFirst: place == 0);
                    Scatter(besides, besideLanes, neighbour.LaneCount, outputs, start, count);
                }

                Scatter(planes, lanes, strip.LaneCount, outputs, start, count);
                start += count;
            }
        }
    }

    /// <summary>How far a frame lies from the last at which small states are set to 0; before the song begins too.</summary>
    internal static int PlaceOf(long frame) => (int)(frame & (FlushFrames - 1));

    private static bool AreSilent(ReadOnlySpan<Plane> planes, ReadOnlySpan<Signal> inputs)
    {
        foreach (var plane in planes)
        {
            if (!inputs[plane.Signal].IsSilent)
                return false;
        }

        return true;
    }

    private static SectionStrip StripOf(IReadOnlyList<IReadOnlyList<Section>> planes) => planes.Count switch
    {
        <= 2 => new SectionStrip<Lanes2>(planes),
        <= 4 => new SectionStrip<Lanes4>(planes),
        _ when Vector512.IsHardwareAccelerated => new SectionStrip<Lanes8>(planes),
        _ => new SectionStrip<PairedLanes8>(planes),
    };

    private static void Gather(ReadOnlySpan<Plane> planes, ReadOnlySpan<Signal> inputs, int start, int count, Span<double> lanes, int laneCount)
    {
        var lane = 0;
        for (; lane + 4 <= planes.Length; lane += 4)
        {
            Interleave.FourInto(
                lanes, laneCount, lane,
                planes[lane].Of(inputs, start, count), planes[lane + 1].Of(inputs, start, count),
                planes[lane + 2].Of(inputs, start, count), planes[lane + 3].Of(inputs, start, count));
        }

        for (; lane + 2 <= planes.Length; lane += 2)
        {
            Interleave.TwoInto(
                lanes, laneCount, lane, planes[lane].Of(inputs, start, count), planes[lane + 1].Of(inputs, start, count));
        }

        if (lane < planes.Length)
            Interleave.Into(lanes, laneCount, lane, planes[lane].Of(inputs, start, count));
    }

    private static void Scatter(ReadOnlySpan<Plane> planes, ReadOnlySpan<double> lanes, int laneCount, ReadOnlySpan<Signal> outputs, int start, int count)
    {
        var lane = 0;
        for (; lane + 4 <= planes.Length; lane += 4)
        {
            Interleave.FourOutOf(
                lanes, laneCount, lane,
                planes[lane].Of(outputs, start, count), planes[lane + 1].Of(outputs, start, count),
                planes[lane + 2].Of(outputs, start, count), planes[lane + 3].Of(outputs, start, count));
        }

        for (; lane + 2 <= planes.Length; lane += 2)
        {
            Interleave.TwoOutOf(
                lanes, laneCount, lane, planes[lane].Of(outputs, start, count), planes[lane + 1].Of(outputs, start, count));
        }

        if (lane < planes.Length)
            Interleave.OutOf(lanes, laneCount, lane, planes[lane].Of(outputs, start, count));
    }

    private readonly record struct Plane(int Signal, int Channel)
    {
        public Span<double> Of(ReadOnlySpan<Signal> signals, int start, int count) => signals[Signal][Channel].Slice(start, count);
    }
}
