using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Graph.Rendering;

/// <summary>Runs a plan: hears the keys that must be heard first, then renders block by block into the outputs.</summary>
public static class Renderer
{
    /// <summary>
    /// Renders. The bytes depend on the plan, the stems and the part asked for, not on threads or block length. Memory does not grow with the song.
    /// On any failure, and when interrupted, no output has changed and no other file is left behind. Only if a finished output cannot be moved into place are those
    /// before it already there.
    /// </summary>
    /// <param name="stems">An open reader for each stem in the plan.</param>
    /// <param name="targets">A full path for each output in the plan.</param>
    /// <param name="progress">Called now and then, from one thread at a time but not always the same.</param>
    /// <exception cref="StemException">A stem failed, or was written to, while being read.</exception>
    /// <exception cref="OutputException">An output could not be written.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    /// <exception cref="ArgumentOutOfRangeException">The options are out of their bounds.</exception>
    public static RenderResult Render(
        RenderPlan plan, IReadOnlyDictionary<string, IStemReader> stems, IReadOnlyDictionary<string, string> targets, IAudioFiles files,
        RenderOptions options, Action<RenderProgress>? progress, CancellationToken cancellation)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(options.ThreadCount, 1, nameof(options));
        ArgumentOutOfRangeException.ThrowIfLessThan(options.BlockFrames, 16, nameof(options));
        ArgumentOutOfRangeException.ThrowIfGreaterThan(options.BlockFrames, 65536, nameof(options));

        var workers = Enumerable.Range(0, options.ThreadCount).Select(_ => new WorkerBuffers(plan, options.BlockFrames)).ToList();
        var settled = ListenPass.Run(plan, stems, workers, options.BlockFrames, progress, cancellation);
        Prepare(plan.Steps.OfType<NodeStep>(), plan.SampleRateHz, options.BlockFrames, settled);

        var writers = new List<(WriteStep Step, IOutputWriter Writer)>();
        var measurings = new List<MeasureJob>();
        var comparing = plan.Steps.OfType<CompareStep>().FirstOrDefault() is { } compare ? new CompareJob(compare, plan, options.BlockFrames) : null;
        var aside = comparing is null ? [] : OnlyForComparing(plan);
        var latest = plan.Steps.Select(step => step.LatencyFrames).DefaultIfEmpty(0).Max();
        try
        {
            var endFrame = 0L;
            var jobs = JobList.Of(plan.Steps, plan, options.BlockFrames, stems, each =>
            {
                if (each is MeasureStep measure)
                    return Measure(measure);
                if (each is CompareStep)
                {
                    endFrame = Math.Max(endFrame, comparing!.EndFrame);
                    return comparing;
                }

                if (aside.Contains(each))
                    return new SparedJob(JobList.Of(each, plan, stems), comparing!.Stretches, latest);

                if (each is not WriteStep step)
                    return null;
                var part = RenderPart.Of(options, plan.SampleRateHz, step.LengthFrames);
                var writer = files.CreateOutput(new(
                    step.Output, targets[step.Output], plan.SampleRateHz, step.Channels, step.Encoding, part.FirstFrame, part.LengthFrames)
                {
                    Origin = step.Origin,
                    OriginFrames = step.OriginFrames,
                    Cues = step.Cues,
                });
                writers.Add((step, writer));
                endFrame = Math.Max(endFrame, part.EndFrame + step.LatencyFrames);
                return new WriteJob(step, writer, part, plan.Steps);

                MeasureJob Measure(MeasureStep step)
                {
                    var heard = RenderPart.Of(options, plan.SampleRateHz, step.LengthFrames).Within(step.Point.During, plan.SampleRateHz);
                    endFrame = Math.Max(endFrame, heard.EndFrame + step.LatencyFrames);
                    measurings.Add(new(step, heard, plan, options.BlockFrames));
                    return measurings[^1];
                }
            });

            BlockPipeline.Run(
                jobs, workers, options.BlockFrames, endFrame,
                progress is null ? null : done => progress(new(RenderStage.Rendering, done, endFrame)), cancellation);

            var summaries = writers.ConvertAll(open => open.Writer.Finish());
            foreach (var stem in stems.Values)
                stem.CheckUnchanged();
            cancellation.ThrowIfCancellationRequested();
            writers.ForEach(open => open.Writer.Commit());
            var change = comparing?.Conclude();
            return new(
                plan.SampleRateHz,
                [.. writers.Select((open, index) => new RenderedOutput(
                    open.Step.Output, targets[open.Step.Output], open.Step.Channels, open.Step.Encoding, summaries[index]))],
                FiguresOf(plan))
            {
                Measures = measurings.ConvertAll(measuring => measuring.Conclude()),
                Change = change,
                Verdict = change?.Verdict,
            };
        }
        finally
        {
            writers.ForEach(open => open.Writer.Dispose());
        }
    }

    /// <summary>Makes nodes ready for their first block and gives listeners what they found.</summary>
    internal static void Prepare(IEnumerable<NodeStep> steps, int sampleRateHz, int blockFrames, IReadOnlyDictionary<string, double> settled)
    {
        foreach (var step in steps.Where(step => !step.IsBypassed))
        {
            step.Node.Prepare(step.FormatAt(sampleRateHz, blockFrames));
            if (step.Node is IListeningNode listener && settled.TryGetValue(step.Name, out var value))
                listener.Recall(value);
        }
    }

    /// <summary>The steps that nothing but a comparison needs.</summary>
    private static HashSet<PlanStep> OnlyForComparing(RenderPlan plan)
    {
        var isNeeded = plan.Steps.Select(step => step is WriteStep or MeasureStep).ToArray();
        for (var index = plan.Steps.Count - 1; index >= 0; index--)
        {
            foreach (var input in isNeeded[index] ? plan.Steps[index].Inputs : [])
                isNeeded[input] = true;
        }

        return [.. plan.Steps.Where((step, index) => !isNeeded[index] && step is not CompareStep and not NodeStep { LaneGroup: >= 0 })];
    }

    private static List<NodeFigures> FiguresOf(RenderPlan plan) =>
    [
        .. plan.Steps.OfType<NodeStep>()
            .Where(step => step is { IsBypassed: false, IsToldElsewhere: false, Node: IFigureSource })
            .Select(step => new NodeFigures(step.Name, step.Type, ((IFigureSource)step.Node).Figures)),
    ];
}
