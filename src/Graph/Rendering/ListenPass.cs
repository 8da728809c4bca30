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
        var rounds = RoundsOf(plan);
        var totalFrames = rounds.Sum(LengthOf);
        var framesBefore = 0L;
        foreach (var round in rounds)
        {
            var steps = StepsFor(round, plan);
            Renderer.Prepare(steps.OfType<NodeStep>(), plan.SampleRateHz, blockFrames, settled);
            // Each listener has its place among the others' steps: further on, what it is to hear would have been overwritten.
            var jobs = JobList.Of(steps, plan, blockFrames, stems, step =>
                step is NodeStep node && round.Find(listener => ReferenceEquals(listener.Step, node)) is { } listener
                    ? new ListenJob(listener.Node, plan.Steps[listener.HeardStep], listener.EndFrame)
                    : null);
            BlockPipeline.Run(
                jobs, workers, blockFrames, LengthOf(round),
                progress is null ? null : done => progress(new(RenderStage.Listening, framesBefore + done, totalFrames)), cancellation);

            foreach (var listener in round)
            {
                var conclusion = listener.Node.Settle();
                listener.Told.ForEach(step => settled.Add(step.Name, conclusion));
            }

            framesBefore += LengthOf(round);
        }

        return settled;
    }

    private static long LengthOf(List<Listener> round) => round.Max(listener => listener.EndFrame);

    private static List<List<Listener>> RoundsOf(RenderPlan plan)
    {
        var rounds = new List<List<Listener>>();
        var roundsBefore = new int[plan.Steps.Count]; // that must have settled before the step can run
        for (var index = 0; index < plan.Steps.Count; index++)
        {
            var step = plan.Steps[index];
            roundsBefore[index] = step.Inputs.Select(input => roundsBefore[input]).DefaultIfEmpty(0).Max();
            if (step is not NodeStep { IsBypassed: false, Node: IListeningNode { MustListen: true } node } listens)
                continue;
            var heard = step.Inputs[node.ListenInput];
            var round = roundsBefore[heard];
            if (round == rounds.Count)
                rounds.Add([]);
            // What it hears arrives late by what lies before; the end of the song still has to pass by.
            if (node.ListenKind is { } kind && rounds[round].Find(other => other.HeardStep == heard && other.Node.ListenKind == kind) is { } alike)
                alike.Told.Add(listens);
            else
                rounds[round].Add(new(listens, node, heard, plan.LengthFrames + plan.Steps[heard].LatencyFrames, [listens]));
            roundsBefore[index] = Math.Max(roundsBefore[index], round + 1);
        }

        return rounds;
    }

    /// <summary>The listeners of a round and every step behind what they hear, in the plan's order.</summary>
    private static List<PlanStep> StepsFor(List<Listener> round, RenderPlan plan)
    {
        var isNeeded = new bool[plan.Steps.Count];
        round.ForEach(listener => isNeeded[listener.HeardStep] = true);
        for (var index = plan.Steps.Count - 1; index >= 0; index--)
        {
            if (!isNeeded[index])
                continue;
            foreach (var input in plan.Steps[index].Inputs)
                isNeeded[input] = true;
        }

        var listening = round.Select(listener => (PlanStep)listener.Step).ToHashSet(ReferenceEqualityComparer.Instance);
        return [.. plan.Steps.Where((step, index) => isNeeded[index] || listening.Contains(step))];
    }

    /// <param name="HeardStep">Index of the step that gives what it hears.</param>
    /// <param name="EndFrame">The frame after the last that it hears.</param>
    /// <param name="Told">Its own step and those that hear the same in the same way.</param>
    private sealed record Listener(NodeStep Step, IListeningNode Node, int HeardStep, long EndFrame, List<NodeStep> Told);
}
