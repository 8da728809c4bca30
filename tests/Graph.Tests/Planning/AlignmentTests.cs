using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Planning;

public class AlignmentTests
{
    //  a --> 5 late --> 7 late --> b
    [Fact]
    public void LatenciesInARowAddUp()
    {
        var song = new Song("""
            "five": { "type": "late", "in": "a", "latencyFrames": 5 },
            "twelve": { "type": "late", "in": "five", "latencyFrames": 7 }
            """).Stem("a", Signals.Silence(100)).Output("twelve");

        var plan = song.Plan();

        Assert.Equal([0, 5, 12, 12], plan.Steps.Select(step => step.LatencyFrames));
        Assert.Equal([5, 7], plan.Steps.OfType<NodeStep>().Select(step => step.OwnLatencyFrames));
        Assert.Equal(112, plan.TotalFrames);
    }

    //  a --> 20 late --+
    //  b --> 5 late ---+--> sum
    //  c --------------+
    [Fact]
    public void EarlyPathsStartAsMuchLaterAsTheLatestTakes()
    {
        var song = new Song("""
            "slow": { "type": "late", "in": "a", "latencyFrames": 20 },
            "fast": { "type": "late", "in": "b", "latencyFrames": 5 },
            "sum": { "type": "sum", "in": ["slow", "fast", "c"] }
            """).Stem("a", Signals.Noise(100)).Stem("b", Signals.Noise(100), "\"startMs\": -2").Stem("c", Signals.Noise(100)).Output("sum");

        var plan = song.Plan();

        Assert.Empty(plan.Steps.OfType<AlignStep>());
        Assert.Equal([("a", 0), ("b", 15), ("c", 20)], plan.Steps.OfType<ReadStep>().Select(step => (step.Name, step.LatencyFrames)).Order());
        Sound.AssertEqual(new ObviousRender(song).Outputs["sum"], song.Render(null, plan)["sum"]);
    }

    //  a --> 20 late --+
    //   \--> 5 late ---+--> sum
    //    \-------------+
    [Fact]
    public void ASignalThatIsWantedAtSeveralTimesIsHeldBackWhereTheyPart()
    {
        var song = new Song("""
            "slow": { "type": "late", "in": "a", "latencyFrames": 20 },
            "fast": { "type": "late", "in": "a", "latencyFrames": 5 },
            "sum": { "type": "sum", "in": ["slow", "fast", "a"] }
            """).Stem("a", Signals.Silence(100)).Output("sum");

        var plan = song.Plan();

        var sum = plan.Steps.Single(step => step.Name == "sum");
        Assert.Equal(["slow", "fast", "a + 20"], sum.Inputs.Select(input => plan.Steps[input].Name));
        Assert.Equal(["a + 15"], plan.Steps.Single(step => step.Name == "fast").Inputs.Select(input => plan.Steps[input].Name));
        Assert.Equal([15, 20], plan.Steps.OfType<AlignStep>().Select(step => step.DelayFrames).Order());
        Assert.All(sum.Inputs, input => Assert.Equal(20, plan.Steps[input].LatencyFrames));
    }

    //  a --> 20 late --+--> one
    //   \              +--> two
    //    \-------------+ (both take a)
    [Fact]
    public void TwoThatNeedTheSameHoldingBackShareIt()
    {
        var song = new Song("""
            "slow": { "type": "late", "in": "a", "latencyFrames": 20 },
            "one": { "type": "sum", "in": ["slow", "a"] },
            "two": { "type": "keyed", "in": "a", "key": "slow" }
            """).Stem("a", Signals.Silence(100)).Output("one").Output("two");

        Assert.Single(song.Plan().Steps.OfType<AlignStep>());
    }

    //  a ---------------> keyed --> out
    //   \--> 20 late --key--^
    [Fact]
    public void AKeyThatIsLaterThanTheSignalHoldsTheSignalBack()
    {
        var song = new Song("""
            "steering": { "type": "late", "in": "a", "latencyFrames": 20 },
            "keyed": { "type": "keyed", "in": "a", "key": "steering" }
            """).Stem("a", Signals.Silence(100)).Output("keyed");

        var plan = song.Plan();

        var keyed = plan.Steps.Single(step => step.Name == "keyed");
        Assert.Equal(["a + 20", "steering"], keyed.Inputs.Select(input => plan.Steps[input].Name));
        Assert.Equal(20, keyed.LatencyFrames);
    }

    //  a ---------------> keyed --> out      wants its key 30 frames earlier
    //  b --> 20 late --key--^
    [Fact]
    public void ANodeThatWantsItsKeyEarlierIsBroughtEverythingElseLater()
    {
        var song = new Song("""
            "steering": { "type": "late", "in": "b", "latencyFrames": 20 },
            "keyed": { "type": "keyed", "in": "a", "key": "steering", "leadFrames": 30 }
            """).Stem("a", Signals.Noise(100)).Stem("b", Signals.Noise(100, seed: 2)).Output("keyed");

        var plan = song.Plan();

        Assert.Equal([("a", 50), ("b", 0)], plan.Steps.OfType<ReadStep>().Select(step => (step.Name, step.LatencyFrames)).Order());
        var keyed = plan.Steps.OfType<NodeStep>().Single(step => step.Name == "keyed");
        Assert.Equal((50, 0), (keyed.LatencyFrames, keyed.OwnLatencyFrames));
        Assert.Equal([50, 20], keyed.InputFormats.Select(format => format.LatencyFrames));
        Sound.AssertEqual(new ObviousRender(song).Outputs["keyed"], song.Render(null, plan)["keyed"]);
    }

    [Fact]
    public void EachOutputIsOnlyAsLateAsItsOwnPath()
    {
        var song = new Song("""
            "slow": { "type": "late", "in": "a", "latencyFrames": 20 }
            """).Stem("a", Signals.Silence(100)).Output("slow").Output("a", "dry", "\"tailMs\": 1");

        var plan = song.Plan();

        Assert.Equal([("dry", 0, 108L), ("slow", 20, 100L)], plan.Writes.Select(write => (write.Output, write.LatencyFrames, write.LengthFrames)).Order());
        Assert.Equal(120, plan.TotalFrames);
    }
}
