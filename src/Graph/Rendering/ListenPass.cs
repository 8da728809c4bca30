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
            Renderer.Prepare(steps.OfType<NodeStep>().Concat(round.SelectMany(ear => ear.Listeners)), plan.SampleRateHz, blockFrames, settled);
            var jobs = JobList.Of(
                steps, plan, blockFrames, stems, ownJobOf: _ => null, after: step => round
                    .Where(ear => ReferenceEquals(plan.Steps[ear.HeardStep], step))
                    .Select(ear => new ListenJob([.. ear.Listeners.Select(NodeOf)], step, ear.EndFrame)));
            BlockPipeline.Run(
                jobs, workers, blockFrames, LengthOf(round),
                progress is null ? null : done => progress(new(RenderStage.Listening, framesBefore + done, totalFrames)), cancellation);

            foreach (var listener in round.SelectMany(ear => ear.Listeners))
                settled.Add(listener.Name, NodeOf(listener).Settle());
            framesBefore += LengthOf(round);
        }

        return settled;
    }

    private static long LengthOf(List<Ear> round) => round.Max(ear => ear.EndFrame);

    private static IListeningNode NodeOf(NodeStep listener) => (IListeningNode)listener.Node;

    private static List<List<Ear>> RoundsOf(RenderPlan plan)
    {
        var rounds = new List<List<Ear>>();
        var roundsBefore = new int[plan.Steps.Count]; // that must have settled before the step can run
        for (var index = 0; index < plan.Steps.Count; index++)
        {
            var step = plan.Steps[index];
            roundsBefore[index] = step.Inputs.Select(input => roundsBefore[input]).DefaultIfEmpty(0).Max();
            if (step is not NodeStep { IsBypassed: false, Node: IListeningNode { MustListen: true } node } listens)
                continue;
            // Whether it is held back before the node takes it makes no difference.
            var heard = step.Inputs[node.ListenInput];
            while (plan.Steps[heard] is AlignStep align)
                heard = align.Inputs[0];
            var round = roundsBefore[heard];
            if (round == rounds.Count)
                rounds.Add([]);
            if (node.ListenKind is { } kind && rounds[round].Find(ear => ear.HeardStep == heard && NodeOf(ear.Listeners[0]).ListenKind == kind) is { } shared)
                shared.Listeners.Add(listens);
            else // What it hears arrives late by what lies before; the end of the song still has to pass by.
                rounds[round].Add(new(heard, plan.LengthFrames + plan.Steps[heard].LatencyFrames, [listens]));
            roundsBefore[index] = Math.Max(roundsBefore[index], round + 1);
        }

        return rounds;
    }

    /// <summary>What a round hears and every step behind it, in the plan's order.</summary>
    private static List<PlanStep> StepsFor(List<Ear> round, RenderPlan plan)
    {
        var isNeeded = new bool[plan.Steps.Count];
        round.ForEach(ear => isNeeded[ear.HeardStep] = true);
        for (var index = plan.Steps.Count - 1; index >= 0; index--)
        {
            if (!isNeeded[index])
                continue;
            foreach (var input in plan.Steps[index].Inputs)
                isNeeded[input] = true;
        }

        return [.. plan.Steps.Where((_, index) => isNeeded[index])];
    }

    /// <param name="HeardStep">Index of the step that gives what is heard.</param>
    /// <param name="EndFrame">The frame after the last that is heard.</param>
    /// <param name="Listeners">Those that hear it together.</param>
    private sealed record Ear(int HeardStep, long EndFrame, List<NodeStep> Listeners);
}
