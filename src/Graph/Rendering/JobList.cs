using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Planning;

namespace RenderGraph.Graph.Rendering;

/// <summary>Makes the jobs of a plan's steps: one a step, or one for all lanes of a group.</summary>
internal static class JobList
{
    /// <summary>The jobs that do these steps, whose nodes are prepared, in the order of the steps.</summary>
    /// <param name="steps">Some or all of the plan's, in its order. Of a group a part will do, as long as each lane is whole.</param>
    /// <param name="ownJobOf">Makes the job of a step that this pass does in its own way: it writes an output, say. Null for all others.</param>
    /// <param name="after">Makes jobs that follow a step at once: what it gave may be overwritten further on.</param>
    public static List<Job> Of(
        IEnumerable<PlanStep> steps, RenderPlan plan, int blockFrames, IReadOnlyDictionary<string, IStemReader> stems, Func<PlanStep, Job?> ownJobOf,
        Func<PlanStep, IEnumerable<Job>>? after = null)
    {
        var jobs = new List<Job>();
        var group = new List<NodeStep>();
        foreach (var step in steps)
        {
            if (group.Count > 0 && (step as NodeStep)?.LaneGroup != group[0].LaneGroup)
                EndGroup();
            if (ownJobOf(step) is { } own)
            {
                jobs.Add(own);
                continue;
            }

            if (step is NodeStep { LaneGroup: >= 0 } member)
            {
                group.Add(member);
                continue;
            }

            jobs.Add(Of(step, plan, stems));
            jobs.AddRange(after?.Invoke(step) ?? []);
        }

        EndGroup();
        return jobs;

        void EndGroup()
        {
            if (group.Count > 0)
                jobs.Add(GroupJob.Of(group, plan, blockFrames));
            jobs.AddRange(group.SelectMany(member => after?.Invoke(member) ?? []));
            group.Clear();
        }
    }

    /// <summary>The job of a step that stands in no group.</summary>
    public static Job Of(PlanStep step, RenderPlan plan, IReadOnlyDictionary<string, IStemReader> stems) => step switch
    {
        ReadStep read => new ReadJob(read, stems[read.Stem]),
        NodeStep { IsBypassed: true } node => new BypassJob(node, plan.Steps),
        NodeStep node => new NodeJob(node, plan.Steps),
        AlignStep align => new AlignJob(align, plan.Steps),
        DifferenceStep difference => new DifferenceJob(difference, plan.Steps),
        _ => throw new ArgumentException($"No job does {step.Name}.", nameof(step)),
    };
}
