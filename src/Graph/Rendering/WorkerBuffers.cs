using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Graph.Rendering;

/// <summary>One worker's memory: a plane for every buffer of the plan, so that a block stays in one core's cache from stem to file.</summary>
internal sealed class WorkerBuffers
{
    // Planes a power of two apart would fall on the same cache sets: a few more lines between them spread them out.
    private const int SpreadFrames = 24;
    private const int AlignmentBytes = 64;

    private readonly double[] _samples;
    private readonly int _offset;
    private readonly int _stride;
    private readonly Signal[] _inputs, _outputs;
    private readonly bool[] _silence; // by first plane

    public WorkerBuffers(RenderPlan plan, int blockFrames)
    {
        _stride = ((blockFrames + 7) / 8 * 8) + SpreadFrames;
        // Two planes more than the plan needs: an output's channels are converted there.
        _samples = GC.AllocateArray<double>(((plan.BufferCount + 2) * _stride) + (AlignmentBytes / sizeof(double)), pinned: true);
        _offset = OffsetToAlignment(_samples);
        _silence = new bool[plan.BufferCount + 2];
        Spare = plan.BufferCount;
        // A group takes at most what all of its members take.
        _inputs = new Signal[plan.Steps.Sum(step => step.Inputs.Count)];
        _outputs = new Signal[plan.Steps.Count];
    }

    /// <summary>The first of two planes that no step owns.</summary>
    public int Spare { get; }

    /// <summary>The signal that lies in these planes.</summary>
    public Signal At(int firstBuffer, int channels, int frames) => new(
        _samples, _offset + (firstBuffer * _stride), _stride, channels, frames, _silence, firstBuffer);

    /// <summary>What a step gave in the block being worked on.</summary>
    public Signal Of(PlanStep step, int frames) => At(step.FirstBuffer, step.Channels, frames);

    /// <summary>Where a step is about to put what it gives: not silent until it says so.</summary>
    public Signal Fresh(PlanStep step, int frames)
    {
        var signal = Of(step, frames);
        signal.IsSilent = false;
        return signal;
    }

    /// <summary>All that these steps take, one step after the other. Good until the next call.</summary>
    public ReadOnlySpan<Signal> InputsOf(ReadOnlySpan<NodeStep> takers, IReadOnlyList<PlanStep> steps, int frames)
    {
        var count = 0;
        foreach (var taker in takers)
        {
            for (var index = 0; index < taker.Inputs.Count; index++)
                _inputs[count++] = Of(steps[taker.Inputs[index]], frames);
        }

        return _inputs.AsSpan(0, count);
    }

    /// <summary>What these steps give. Good until the next call.</summary>
    public ReadOnlySpan<Signal> OutputsOf(ReadOnlySpan<NodeStep> givers, int frames)
    {
        for (var index = 0; index < givers.Length; index++)
            _outputs[index] = Fresh(givers[index], frames);
        return _outputs.AsSpan(0, givers.Length);
    }

    /// <summary>A signal with an output's channels, in spare planes if they are others. Mono into stereo is the same on both sides; stereo into mono is half of each, so that a centred sound keeps its level.</summary>
    public Signal AsWritten(Signal from, int channels)
    {
        if (from.Channels == channels)
            return from;
        var into = At(Spare, channels, from.Frames);
        into.IsSilent = from.IsSilent;
        if (into.Channels == 2)
        {
            from[0].CopyTo(into[0]);
            from[0].CopyTo(into[1]);
            return into;
        }

        var left = from[0];
        var right = from[1];
        var mono = into[0];
        for (var frame = 0; frame < mono.Length; frame++)
            mono[frame] = (left[frame] + right[frame]) * 0.5;
        return into;
    }

    private static int OffsetToAlignment(double[] pinned)
    {
        var past = (nint)System.Runtime.InteropServices.Marshal.UnsafeAddrOfPinnedArrayElement(pinned, 0) % AlignmentBytes;
        return past == 0 ? 0 : (int)((AlignmentBytes - past) / sizeof(double));
    }
}
