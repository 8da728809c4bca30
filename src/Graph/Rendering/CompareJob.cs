using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Graph.Rendering;

/// <summary>Brings the song and its untreated counterpart to a comparer: all of it, or stretches spread over it.</summary>
internal sealed class CompareJob : Job
{
    private readonly CompareStep _step;
    private readonly IReadOnlyList<PlanStep> _steps;
    private readonly IReadOnlyList<RenderPart> _stretches;
    private readonly ISongComparer _comparer;
    private readonly Signal[] _heard;

    public CompareJob(CompareStep step, RenderPlan plan, int blockFrames) : base(isOrdered: true)
    {
        (_step, _steps, _heard) = (step, plan.Steps, new Signal[step.Inputs.Count]);
        _stretches = HeardStretches.Of(step.LengthFrames, step.Song.MostSeconds, plan.SampleRateHz);
        _comparer = step.Song.Create();
        var anchor = step.Format.Anchor;
        _comparer.Prepare(step.Format with
        {
            MaxBlockFrames = blockFrames,
            Anchor = anchor is not null && step.HitFrames is { } hits ? anchor with { HitFrames = HeardStretches.Map(hits, _stretches) } : anchor,
        });
    }

    /// <summary>What is heard of the song.</summary>
    public IReadOnlyList<RenderPart> Stretches => _stretches;

    /// <summary>The frame of the render after the last that is heard.</summary>
    public long EndFrame => _stretches.Count == 0 ? 0 : _stretches[^1].EndFrame + _step.LatencyFrames;

    public override void Run(WorkerBuffers buffers, long startFrame, int frames)
    {
        foreach (var stretch in _stretches)
        {
            if (stretch.In(startFrame - _step.LatencyFrames, frames) is not var (start, count))
                continue;
            for (var index = 0; index < _heard.Length; index++)
                _heard[index] = buffers.Of(_steps[_step.Inputs[index]], frames).Slice(start, count);
            _comparer.Hear(_heard);
        }
    }

    /// <summary>Once everything has been heard.</summary>
    public SongChange Conclude() => _comparer.Conclude();
}

/// <summary>Does what only a comparison needs, and spares the blocks of which it hears nothing. Nothing but levels and what holds them back stands on the way there, so a gap changes no bit.</summary>
/// <param name="work">The job itself.</param>
/// <param name="stretches">What is heard of the song.</param>
/// <param name="latencyFrames">How far behind the stems it may be heard, at most: so much earlier its work begins.</param>
internal sealed class SparedJob(Job work, IReadOnlyList<RenderPart> stretches, int latencyFrames) : Job(work.IsOrdered)
{
    public override void Run(WorkerBuffers buffers, long startFrame, int frames)
    {
        foreach (var stretch in stretches)
        {
            if (startFrame < stretch.EndFrame + latencyFrames && startFrame + frames > stretch.FirstFrame - latencyFrames)
            {
                work.Run(buffers, startFrame, frames);
                return;
            }
        }
    }
}
