using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Graph.Rendering;

/// <summary>
/// Before the render: runs what lies behind the inputs that listening nodes want to hear, and nothing else, over the whole song.
/// A listener behind another listener's input has to settle first, so there are as many rounds as listeners in a row: nearly always one.
/// </summary>
internal static class ListenPass
{
    /// <summary>What each listener found, by the name of its step.</summary>
    public static IReadOnlyDictionary<string, double> Run(
        RenderPlan plan, IReadOnlyDictionary<string, IStemReader> stems, IReadOnlyList<WorkerBuffers> workers, int blockFrames,
        Action<RenderProgress>? progress, CancellationToken cancellation)
    {
        var settled = new Dictionary<string, double>(StringComparer.Ordinal);
        var waiting = plan.Steps.OfType<NodeStep>().Where(Listens).ToList();
        while (waiting.Count > 0)
        {
            var round = waiting.Where(step => !Behind(step, plan).OfType<NodeStep>().Any(waiting.Contains)).ToList();
            var needed = plan.Steps.Where(step => round.Exists(listener => Behind(listener, plan).Contains(step))).ToList();
            Renderer.Prepare(needed.OfType<NodeStep>().Concat(round), plan.SampleRateHz, blockFrames, settled);

            var jobs = JobList.Of(needed, plan, blockFrames, stems, step => throw new ArgumentException($"Nobody listens to {step.Name}.", nameof(plan)));
            jobs.AddRange(round.Select(step => new ListenJob(step, (IListeningNode)step.Node, plan.Steps)));
            // The key arrives late by what lies before it; the end of the song still has to pass by.
            var total = plan.LengthFrames + round.Max(step => plan.Steps[step.Inputs[((IListeningNode)step.Node).ListenInput]].LatencyFrames);
            BlockPipeline.Run(
                jobs, workers, blockFrames, total,
                progress is null ? null : done => progress(new(RenderStage.Listening, done, total)), cancellation);

            foreach (var step in round)
                settled.Add(step.Name, ((IListeningNode)step.Node).Settle());
            waiting.RemoveAll(round.Contains);
        }

        return settled;
    }

    private static bool Listens(NodeStep step) => !step.IsBypassed && step.Node is IListeningNode { MustListen: true };

    /// <summary>Every step behind the input that this one listens to.</summary>
    private static HashSet<PlanStep> Behind(NodeStep listener, RenderPlan plan)
    {
        var found = new HashSet<PlanStep>(ReferenceEqualityComparer.Instance);
        var open = new Stack<PlanStep>([plan.Steps[listener.Inputs[((IListeningNode)listener.Node).ListenInput]]]);
        while (open.TryPop(out var step))
        {
            if (!found.Add(step))
                continue;
            foreach (var input in step.Inputs)
                open.Push(plan.Steps[input]);
        }

        return found;
    }
}
