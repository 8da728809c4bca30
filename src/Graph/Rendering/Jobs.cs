using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Measuring;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Graph.Rendering;

/// <summary>One step at work on one block after another.</summary>
/// <param name="isOrdered">Whether its blocks must be done one after the other: whatever keeps a state.</param>
internal abstract class Job(bool isOrdered)
{
    public bool IsOrdered => isOrdered;

    /// <summary>Does the block of <paramref name="frames"/> frames that starts at <paramref name="startFrame"/>.</summary>
    public abstract void Run(WorkerBuffers buffers, long startFrame, int frames);
}

/// <summary>Reads a stem's frames.</summary>
internal sealed class ReadJob(ReadStep step, IStemReader reader) : Job(isOrdered: false)
{
    public override void Run(WorkerBuffers buffers, long startFrame, int frames)
    {
        var output = buffers.Fresh(step, frames);
        if (step.IsSilenced)
        {
            output.Silence();
            return;
        }

        // What a file holds from before the song is not heard, though it would be read on the way.
        var before = (int)Math.Clamp(step.LatencyFrames - startFrame, 0, frames);
        output.Slice(0, before).Clear();
        if (before < frames)
            reader.Read(startFrame + before - step.LatencyFrames - step.StartFrame, output.Slice(before, frames - before));
        output.IsSilent = IsZero(output);
    }

    private static bool IsZero(Signal signal)
    {
        for (var channel = 0; channel < signal.Channels; channel++)
        {
            if (signal[channel].ContainsAnyExcept(0.0)) // sound is found at its first sample
                return false;
        }

        return true;
    }
}

/// <summary>Runs a node.</summary>
internal sealed class NodeJob(NodeStep step, IReadOnlyList<PlanStep> steps) : Job(isOrdered: true)
{
    public override void Run(WorkerBuffers buffers, long startFrame, int frames)
    {
        var inputs = buffers.InputsOf([step], steps, frames);
        var output = buffers.Fresh(step, frames);
        if (step.Node.IsAtRest && AreSilent(inputs))
            output.Silence();
        else
            step.Node.Process(new(startFrame, inputs, output));
    }

    private static bool AreSilent(ReadOnlySpan<Signal> signals)
    {
        foreach (var signal in signals)
        {
            if (!signal.IsSilent)
                return false;
        }

        return true;
    }
}

/// <summary>Runs the lanes of a group.</summary>
internal sealed class GroupJob : Job
{
    private readonly NodeStep[] _firsts, _lasts;
    private readonly IReadOnlyList<PlanStep> _steps;
    private readonly ILaneGroup _group;

    private GroupJob(IReadOnlyList<IReadOnlyList<NodeStep>> lanes, IReadOnlyList<PlanStep> steps, ILaneGroup group) : base(isOrdered: true)
    {
        (_firsts, _lasts) = ([.. lanes.Select(lane => lane[0])], [.. lanes.Select(lane => lane[^1])]);
        (_steps, _group) = (steps, group);
    }

    /// <summary>The job of some lanes of one group.</summary>
    public static GroupJob Of(IEnumerable<NodeStep> members, RenderPlan plan, int blockFrames)
    {
        var lanes = new List<List<NodeStep>> { new() };
        foreach (var member in members)
        {
            lanes[^1].Add(member);
            if (member.FirstBuffer >= 0) // what leaves the loop ends the lane
                lanes.Add([]);
        }

        lanes.RemoveAt(lanes.Count - 1);
        var first = (ILaneNode)lanes[0][0].Node;
        return new(lanes, plan.Steps, first.Join(lanes.ConvertAll(row => new Lane(
            row.ConvertAll(step => step.Node), row[0].FormatAt(plan.SampleRateHz, blockFrames), row[0].Inputs))));
    }

    public override void Run(WorkerBuffers buffers, long startFrame, int frames) =>
        _group.Process(startFrame, buffers.InputsOf(_firsts, _steps, frames), buffers.OutputsOf(_lasts, frames));
}

/// <summary>Lets a bypassed node's signal through, as late as it would have been. Several signals are summed as they are.</summary>
internal sealed class BypassJob(NodeStep step, IReadOnlyList<PlanStep> steps) : Job(isOrdered: true)
{
    private readonly DelayRing _ring = new(step.Channels, step.OwnLatencyFrames);

    public override void Run(WorkerBuffers buffers, long startFrame, int frames)
    {
        var inputs = buffers.InputsOf([step], steps, frames);
        var output = buffers.Fresh(step, frames);
        if (inputs.Length == 1 && inputs[0].Channels == output.Channels)
        {
            _ring.Process(inputs[0], output);
            return;
        }

        var sum = step.OwnLatencyFrames == 0 ? output : buffers.At(buffers.Spare, step.Channels, frames);
        sum.IsSilent = false;
        var isEmpty = true;
        foreach (var input in inputs)
        {
            if (input.IsSilent)
                continue;
            for (var channel = 0; channel < sum.Channels; channel++)
            {
                var from = input[Math.Min(channel, input.Channels - 1)];
                var into = sum[channel];
                if (isEmpty)
                {
                    from.CopyTo(into);
                    continue;
                }

                for (var frame = 0; frame < into.Length; frame++)
                    into[frame] += from[frame];
            }

            isEmpty = false;
        }

        if (isEmpty)
            sum.Silence();
        if (step.OwnLatencyFrames != 0)
            _ring.Process(sum, output);
    }
}

/// <summary>Holds a signal back.</summary>
internal sealed class AlignJob(AlignStep step, IReadOnlyList<PlanStep> steps) : Job(isOrdered: true)
{
    private readonly DelayRing _ring = new(step.Channels, step.DelayFrames);

    public override void Run(WorkerBuffers buffers, long startFrame, int frames) =>
        _ring.Process(buffers.Of(steps[step.Inputs[0]], frames), buffers.Fresh(step, frames));
}

/// <summary>Takes a signal from another; a mono one is the same on both sides.</summary>
internal sealed class DifferenceJob(DifferenceStep step, IReadOnlyList<PlanStep> steps) : Job(isOrdered: false)
{
    public override void Run(WorkerBuffers buffers, long startFrame, int frames)
    {
        var (before, after, output) = (buffers.Of(steps[step.Inputs[0]], frames), buffers.Of(steps[step.Inputs[1]], frames), buffers.Fresh(step, frames));
        if (before.IsSilent && after.IsSilent)
        {
            output.Silence();
            return;
        }

        for (var channel = 0; channel < output.Channels; channel++)
        {
            var minuend = before[Math.Min(channel, before.Channels - 1)];
            var subtrahend = after[Math.Min(channel, after.Channels - 1)];
            var difference = output[channel];
            for (var frame = 0; frame < difference.Length; frame++)
                difference[frame] = minuend[frame] - subtrahend[frame];
        }
    }
}

/// <summary>Brings listening nodes the signal that they want to hear.</summary>
/// <param name="listeners">One, or several that hear it together.</param>
/// <param name="heard">The step that gives it.</param>
/// <param name="endFrame">The frame after the last that they are to hear: others may have to hear more.</param>
internal sealed class ListenJob(IReadOnlyList<IListeningNode> listeners, PlanStep heard, long endFrame) : Job(isOrdered: true)
{
    private readonly IListener _ear = listeners.Count == 1 ? listeners[0] : listeners[0].HearTogether(listeners);

    public override void Run(WorkerBuffers buffers, long startFrame, int frames)
    {
        if (startFrame < endFrame)
            _ear.Listen(startFrame - heard.LatencyFrames, buffers.Of(heard, (int)Math.Min(frames, endFrame - startFrame)));
    }
}

/// <summary>Writes the frames of the part asked for.</summary>
internal sealed class WriteJob(WriteStep step, IOutputWriter writer, RenderPart part, IReadOnlyList<PlanStep> steps) : Job(isOrdered: true)
{
    public override void Run(WorkerBuffers buffers, long startFrame, int frames)
    {
        if (part.In(startFrame - step.LatencyFrames, frames) is var (start, count))
            writer.Write(buffers.AsWritten(buffers.Of(steps[step.Inputs[0]], frames).Slice(start, count), step.Channels));
    }
}

/// <summary>Brings the frames of the part asked for to the meters of a point.</summary>
internal sealed class MeasureJob : Job
{
    private readonly MeasureStep _step;
    private readonly RenderPart _part;
    private readonly IReadOnlyList<PlanStep> _steps;
    private readonly MeterSet _meters;
    private readonly Signal[] _heard;

    public MeasureJob(MeasureStep step, RenderPart part, RenderPlan plan, int blockFrames) : base(isOrdered: true)
    {
        (_step, _part, _steps) = (step, part, plan.Steps);
        _meters = new(step.Point.Meters, step.Point.Measures, step.Point.AtHits);
        _heard = new Signal[step.Inputs.Count];
        _meters.Prepare(new(plan.SampleRateHz, [.. step.Inputs.Select((input, port) => port == 0 ? step.Channels : plan.Steps[input].Channels)], blockFrames)
        {
            Anchor = step.Anchor is { HitFrames: { } hits } anchor ? anchor with { HitFrames = HeardOf(hits) } : step.Anchor,
            IsInMix = step.IsInMix,
        });
    }

    public override void Run(WorkerBuffers buffers, long startFrame, int frames)
    {
        if (_part.In(startFrame - _step.LatencyFrames, frames) is not var (start, count))
            return;
        for (var port = 0; port < _heard.Length; port++)
            _heard[port] = buffers.Of(_steps[_step.Inputs[port]], frames).Slice(start, count);
        _heard[0] = buffers.AsWritten(_heard[0], _step.Channels);
        _meters.Hear(_heard);
    }

    private List<long> HeardOf(IReadOnlyList<long> hits) =>
        [.. hits.Where(frame => frame >= _part.FirstFrame && frame < _part.EndFrame).Select(frame => frame - _part.FirstFrame)];

    /// <summary>Once everything has been heard.</summary>
    public PointMeasures Conclude() => new(_step.Point, _part.FirstFrame, _part.EndFrame, _meters.Conclude());
}
