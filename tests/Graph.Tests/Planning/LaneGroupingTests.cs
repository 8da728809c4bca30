using CsCheck;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Planning;

public class LaneGroupingTests
{
    //  a --> lane --+
    //  b --> lane --+--> sum
    //  c --> lane --+        (c's is of another kind)
    [Fact]
    public void LikeNodesAtTheSameDistanceFromTheStemsShareAGroup()
    {
        var groups = GroupsOf(new Song("""
            "aLane": { "type": "lane", "in": "a" },
            "bLane": { "type": "lane", "in": "b" },
            "cLane": { "type": "lane", "in": "c", "kind": 1 },
            "sum": { "type": "sum", "in": ["aLane", "bLane", "cLane"] }
            """).Stem("a", Signals.Silence(9)).Stem("b", Signals.Silence(9)).Stem("c", Signals.Silence(9)).Output("sum"));

        Assert.Equal(["aLane bLane", "cLane"], groups);
    }

    //  a --> lane --> late --> lane --+
    //  b --> lane --------------------+--> sum
    [Fact]
    public void NodesAtUnequalDistancesDoNot()
    {
        var groups = GroupsOf(new Song("""
            "near": { "type": "lane", "in": "a" },
            "between": { "type": "late", "in": "near", "latencyFrames": 1 },
            "far": { "type": "lane", "in": "between" },
            "other": { "type": "lane", "in": "b" },
            "sum": { "type": "sum", "in": ["far", "other"] }
            """).Stem("a", Signals.Silence(9)).Stem("b", Signals.Silence(9)).Output("sum"));

        Assert.Equal(["far", "near other"], groups.Order());
    }

    //  a --> lane --> lane --+
    //  b --> lane --> lane --+--> sum
    [Fact]
    public void NodesThatFollowEachOtherMakeARowAndLikeRowsShareAGroup()
    {
        var plan = new Song("""
            "a1": { "type": "lane", "in": "a" },
            "a2": { "type": "lane", "in": "a1", "kind": 1 },
            "b1": { "type": "lane", "in": "b" },
            "b2": { "type": "lane", "in": "b1", "kind": 1 },
            "sum": { "type": "sum", "in": ["a2", "b2"] }
            """).Stem("a", Signals.Silence(9)).Stem("b", Signals.Silence(9)).Output("sum").Plan();

        Assert.Equal(["a1 a2 b1 b2"], GroupsOf(plan));
        Assert.Equal([true, false, true, false], plan.Steps.OfType<NodeStep>().Where(step => step.LaneGroup >= 0).Select(step => step.FirstBuffer < 0));
    }

    //  a --> lane --+--> lane --> one
    //               +-----------> two
    [Fact]
    public void ARowEndsWhereSomebodyElseTakesWhatLiesBetween()
    {
        var groups = GroupsOf(new Song("""
            "first": { "type": "lane", "in": "a" },
            "second": { "type": "lane", "in": "first" }
            """).Stem("a", Signals.Silence(9)).Output("first").Output("second"));

        Assert.Equal(["first", "second"], groups);
    }

    //  a --> lane --> laneListener --> lane --> out
    [Fact]
    public void AListenerOnlyBeginsARowSinceItsInputMustExist()
    {
        var groups = GroupsOf(new Song("""
            "before": { "type": "lane", "in": "a" },
            "listens": { "type": "laneListener", "in": "before" },
            "after": { "type": "lane", "in": "listens" }
            """).Stem("a", Signals.Silence(9)).Output("after"));

        Assert.Equal(["before", "listens after"], groups);
    }

    [Fact]
    public void ABypassedNodeIsInNoGroup()
    {
        var groups = GroupsOf(new Song("""
            "aLane": { "type": "lane", "in": "a", "bypass": true },
            "bLane": { "type": "lane", "in": "b" },
            "sum": { "type": "sum", "in": ["aLane", "bLane"] }
            """).Stem("a", Signals.Silence(9)).Stem("b", Signals.Silence(9)).Output("sum"));

        Assert.Equal(["bLane"], groups);
    }

    [Theory]
    [InlineData(1, 40, new[] { 16, 16, 8 })]
    [InlineData(2, 20, new[] { 8, 8, 4 })]
    public void AGroupHasAtMostSixteenChannels(int channels, int stems, int[] lanes)
    {
        var names = Enumerable.Range(10, stems).Select(number => $"s{number}").ToList();
        var song = new Song(string.Join(", ", names.Select(name => $$"""
            "{{name}}Lane": { "type": "lane", "in": "{{name}}" }
            """)) + $$"""
            , "sum": { "type": "sum", "in": [{{string.Join(", ", names.Select(name => $"\"{name}Lane\""))}}] }
            """).Output("sum");
        names.ForEach(name => song.Stem(name, Signals.Silence(9, channels)));

        var plan = song.Plan();

        Assert.Equal(lanes, plan.Steps.OfType<NodeStep>().Where(step => step.LaneGroup >= 0).GroupBy(step => step.LaneGroup).Select(group => group.Count()));
        Assert.Equal(names.Select(name => name + "Lane"), plan.Steps.OfType<NodeStep>().Where(step => step.LaneGroup >= 0).Select(step => step.Name));
    }

    [Fact]
    public void LanesOfAGroupStandTogetherNeverWaitForEachOtherAndAreAlike() =>
        RandomSong.Any.Sample(song =>
        {
            var plan = song.Plan();
            var behind = new HashSet<int>[plan.Steps.Count];
            for (var index = 0; index < plan.Steps.Count; index++)
                behind[index] = [.. plan.Steps[index].Inputs, .. plan.Steps[index].Inputs.SelectMany(input => behind[input])];

            var groups = plan.Steps.Select((step, index) => (Step: step as NodeStep, Index: index))
                .Where(place => place.Step is { LaneGroup: >= 0 }).GroupBy(place => place.Step!.LaneGroup);
            foreach (var group in groups)
            {
                var indices = group.Select(place => place.Index).ToList();
                Assert.Equal(Enumerable.Range(indices[0], indices.Count), indices);

                var lanes = LanesOf(plan, indices);
                Assert.InRange(lanes.Sum(lane => plan.Steps[lane[0]].Channels), 1, 16);
                Assert.Single(lanes.Select(lane => string.Join('+', lane.Select(step => ((LaneNode)((NodeStep)plan.Steps[step]).Node).LaneKind))).Distinct());
                foreach (var lane in lanes)
                {
                    Assert.All(lane.Zip(lane.Skip(1)), pair => Assert.Equal([pair.First], plan.Steps[pair.Second].Inputs));
                    foreach (var other in lanes.Where(other => other != lane))
                        Assert.False(behind[lane[^1]].Overlaps(other));
                }
            }
        }, iter: 300, threads: 1, print: song => song.ToString());

    /// <summary>What leaves the group ends a lane.</summary>
    private static List<List<int>> LanesOf(RenderPlan plan, List<int> group)
    {
        var lanes = new List<List<int>> { new() };
        foreach (var index in group)
        {
            lanes[^1].Add(index);
            if (plan.Steps[index].FirstBuffer >= 0 && index != group[^1])
                lanes.Add([]);
        }

        return lanes;
    }

    private static IEnumerable<string> GroupsOf(Song song) => GroupsOf(song.Plan());

    private static IEnumerable<string> GroupsOf(RenderPlan plan) =>
        plan.Steps.OfType<NodeStep>().Where(step => step.LaneGroup >= 0).GroupBy(step => step.LaneGroup).Select(group => string.Join(' ', group.Select(step => step.Name)));
}
