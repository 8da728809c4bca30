using System.Text;
using CsCheck;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Planning;

public class BufferAssignmentTests
{
    [Fact]
    public void NoStepWritesWhereSomebodyStillHasToRead() =>
        RandomSong.Any.Sample(song =>
        {
            var plan = song.Plan();
            var owner = new int?[plan.BufferCount]; // of each plane: the step whose sound lies there
            foreach (var unit in Units(plan))
            {
                // A group reads all that its lanes take before or while it writes.
                foreach (var step in unit)
                {
                    foreach (var input in plan.Steps[step].Inputs.Where(input => !unit.Contains(input)))
                        Assert.All(Planes(plan.Steps[input]), plane => Assert.Equal(input, owner[plane]));
                }

                var taken = unit.SelectMany(step => plan.Steps[step].Inputs).Where(input => !unit.Contains(input)).SelectMany(input => Planes(plan.Steps[input]));
                var given = unit.SelectMany(step => Planes(plan.Steps[step])).ToList();
                Assert.Empty(taken.Intersect(given));
                Assert.Equal(given.Distinct(), given);
                foreach (var step in unit)
                {
                    foreach (var plane in Planes(plan.Steps[step]))
                        owner[plane] = step;
                }
            }
        }, iter: 300, threads: 1, print: song => song.ToString());

    [Fact]
    public void OnlyOutputsAndTheInsidesOfLanesHaveNoPlane() =>
        RandomSong.Any.Sample(song =>
        {
            var plan = song.Plan();
            for (var index = 0; index < plan.Steps.Count; index++)
            {
                var goesOnInItsLane = plan.Steps[index] is NodeStep { LaneGroup: >= 0 } step
                    && index + 1 < plan.Steps.Count && plan.Steps[index + 1] is NodeStep next && next.LaneGroup == step.LaneGroup && next.Inputs.Contains(index);
                Assert.Equal(plan.Steps[index] is WriteStep || goesOnInItsLane, plan.Steps[index].FirstBuffer < 0);
            }
        }, iter: 300, threads: 1, print: song => song.ToString());

    //  a --> gain --> gain --> ... 50 of them --> out
    [Theory]
    [InlineData(1, 2)]
    [InlineData(2, 4)]
    public void ALongChainGoesToAndFroBetweenTwoPlacesAChannel(int channels, int planes)
    {
        var nodes = new StringBuilder();
        for (var index = 0; index < 50; index++)
            nodes.Append($"{(index == 0 ? "" : ",")} \"n{index}\": {{ \"type\": \"gain\", \"gainDb\": -1, \"in\": \"{(index == 0 ? "a" : $"n{index - 1}")}\" }}");
        var song = new Song(nodes.ToString()).Stem("a", Signals.Silence(9, channels)).Output("n49");

        Assert.Equal(planes, song.Plan().BufferCount);
    }

    /// <summary>Steps that run as one.</summary>
    private static List<List<int>> Units(RenderPlan plan)
    {
        var units = new List<List<int>>();
        for (var index = 0; index < plan.Steps.Count; index++)
        {
            var group = (plan.Steps[index] as NodeStep)?.LaneGroup ?? -1;
            if (group >= 0 && index > 0 && plan.Steps[index - 1] is NodeStep before && before.LaneGroup == group)
                units[^1].Add(index);
            else
                units.Add([index]);
        }

        return units;
    }

    private static IEnumerable<int> Planes(PlanStep step) => step.FirstBuffer < 0 ? [] : Enumerable.Range(step.FirstBuffer, step.Channels);
}
