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
    private readonly Signal[] _inputs;

    public WorkerBuffers(RenderPlan plan, int blockFrames)
    {
        _stride = ((blockFrames + 7) / 8 * 8) + SpreadFrames;
        // Two planes more than the plan needs: an output's channels are converted there.
        _samples = GC.AllocateArray<double>(((plan.BufferCount + 2) * _stride) + (AlignmentBytes / sizeof(double)), pinned: true);
        _offset = OffsetToAlignment(_samples);
        Spare = plan.BufferCount;
        _inputs = new Signal[plan.Steps.Select(step => step.Inputs.Count).DefaultIfEmpty(0).Max()];
    }

    /// <summary>The first of two planes that no step owns.</summary>
    public int Spare { get; }

    /// <summary>The signal that lies in these planes.</summary>
    public Signal At(int firstBuffer, int channels, int frames) => new(_samples, _offset + (firstBuffer * _stride), _stride, channels, frames);

    /// <summary>What a step gave in the block being worked on.</summary>
    public Signal Of(PlanStep step, int frames) => At(step.FirstBuffer, step.Channels, frames);

    /// <summary>All that a step takes. Good until the next call.</summary>
    public ReadOnlySpan<Signal> InputsOf(PlanStep step, IReadOnlyList<PlanStep> steps, int frames)
    {
        for (var index = 0; index < step.Inputs.Count; index++)
            _inputs[index] = Of(steps[step.Inputs[index]], frames);
        return _inputs.AsSpan(0, step.Inputs.Count);
    }

    private static int OffsetToAlignment(double[] pinned)
    {
        var past = (nint)System.Runtime.InteropServices.Marshal.UnsafeAddrOfPinnedArrayElement(pinned, 0) % AlignmentBytes;
        return past == 0 ? 0 : (int)((AlignmentBytes - past) / sizeof(double));
    }
}
