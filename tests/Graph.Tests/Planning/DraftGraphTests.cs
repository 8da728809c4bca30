using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Planning;

public class DraftGraphTests
{
    //  kick (muted) ---------------------+--> sum
    //   \--> late --key--> keyed --------+
    //                bass --^
    [Fact]
    public void AMutedStemIsSilentWhereItIsHeardAndItselfWhereItKeysThroughAnyNode()
    {
        var plan = new Song("""
            "filtered": { "type": "late", "in": "kick", "latencyFrames": 0 },
            "keyed": { "type": "keyed", "in": "bass", "key": "filtered" },
            "sum": { "type": "sum", "in": ["filtered", "keyed"] }
            """).Stem("kick", Signals.Silence(9), "\"muted\": true").Stem("bass", Signals.Silence(9)).Output("sum").Plan();

        Assert.Equal(
            [("bass", false), ("kick", true), ("kick (key)", false)],
            plan.Steps.OfType<ReadStep>().Select(step => (step.Name, step.IsSilenced)).Order());
        Assert.Equal(["filtered", "filtered (key)"], plan.Steps.OfType<NodeStep>().Where(step => step.Id == "filtered").Select(step => step.Name).Order());
        Assert.Equal(["bass", "filtered (key)"], InputsOf(plan, "keyed"));
        Assert.Equal(["filtered", "keyed"], InputsOf(plan, "sum"));
        var nodes = plan.Steps.OfType<NodeStep>().Select(step => step.Node).ToList();
        Assert.Equal(nodes.Distinct(ReferenceEqualityComparer.Instance), nodes);
    }

    [Fact]
    public void WithoutAMutedStemASignalThatIsHeardAndKeysIsWorkedOutOnce()
    {
        var plan = new Song("""
            "filtered": { "type": "late", "in": "kick", "latencyFrames": 0 },
            "keyed": { "type": "keyed", "in": "bass", "key": "filtered" },
            "sum": { "type": "sum", "in": ["filtered", "keyed"] }
            """).Stem("kick", Signals.Silence(9)).Stem("bass", Signals.Silence(9)).Output("sum").Plan();

        Assert.Equal(["bass", "filtered", "keyed", "kick", "sum", "write:sum"], plan.Steps.Select(step => step.Name).Order());
    }

    //  kick (muted) --key--> room --+-----> sum       room itself is the same, heard or keying:
    //                bass --^       +-key-> second    only its key is muted
    [Fact]
    public void WhatAMutedStemOnlySteersIsWorkedOutOnce()
    {
        var plan = new Song("""
            "room": { "type": "keyed", "in": "bass", "key": "kick" },
            "second": { "type": "keyed", "in": "bass", "key": "room" },
            "sum": { "type": "sum", "in": ["room", "second"] }
            """).Stem("kick", Signals.Silence(9), "\"muted\": true").Stem("bass", Signals.Silence(9)).Output("sum").Plan();

        Assert.Single(plan.Steps.OfType<NodeStep>(), step => step.Id == "room");
        Assert.Equal(["bass", "room"], InputsOf(plan, "second"));
        Assert.Equal(["bass", "kick (key)"], InputsOf(plan, "room"));
    }

    [Fact]
    public void ABypassedNodeKeepsItsLatencyAndTakesNoKey()
    {
        var plan = new Song("""
            "slowKey": { "type": "late", "in": "kick", "latencyFrames": 50 },
            "late": { "type": "late", "in": "bass", "latencyFrames": 7, "bypass": true },
            "keyed": { "type": "keyed", "in": "late", "key": "slowKey", "bypass": true }
            """).Stem("kick", Signals.Silence(9)).Stem("bass", Signals.Silence(9)).Output("keyed").Plan();

        Assert.Equal(["bass", "late", "keyed", "write:keyed"], plan.Steps.Select(step => step.Name));
        Assert.Equal([0, 7, 7, 7], plan.Steps.Select(step => step.LatencyFrames));
        Assert.All(plan.Steps.OfType<NodeStep>(), step => Assert.True(step.IsBypassed));
    }

    [Fact]
    public void ABypassedNodeHasNoGainsOnItsInputs()
    {
        var plan = new Song("""
            "mix": { "type": "mix", "in": ["a", { "from": "b", "gainDb": -3 }], "bypass": true }
            """).Stem("a", Signals.Silence(9)).Stem("b", Signals.Silence(9)).Output("mix").Plan();

        Assert.All(plan.Steps.OfType<NodeStep>().Single().InputFormats, format => Assert.Equal(0, format.GainDb));
    }

    //  bass --> [ late, keyed by kick ] = room --> room
    //                 \--> also (takes room.1)
    [Fact]
    public void AChainBecomesItsStepsAndAnyOfThemCanBeTakenFrom()
    {
        var plan = new Song("""
            "room": { "type": "chain", "in": "bass", "steps": [{ "type": "late", "latencyFrames": 4 }, { "type": "keyed", "key": "kick" }] },
            "also": { "type": "sum", "in": ["room", "room.1"] }
            """).Stem("kick", Signals.Silence(9)).Stem("bass", Signals.Silence(9)).Output("also").Plan();

        Assert.Equal(["also", "room.1", "room.2"], plan.Steps.OfType<NodeStep>().Select(step => step.Name).Order());
        Assert.Equal(["bass"], InputsOf(plan, "room.1"));
        Assert.Equal(["room.1", "kick"], InputsOf(plan, "room.2"));
        Assert.Equal(["room.2", "room.1"], InputsOf(plan, "also"));
    }

    [Fact]
    public void AChainMayFollowAChain()
    {
        var plan = new Song("""
            "second": { "type": "chain", "in": "first", "steps": [{ "type": "late", "latencyFrames": 4 }] },
            "first": { "type": "chain", "in": "bass", "steps": [{ "type": "late", "latencyFrames": 4 }] }
            """).Stem("bass", Signals.Silence(9)).Output("second").Plan();

        Assert.Equal(["bass", "first.1", "second.1", "write:second"], plan.Steps.Select(step => step.Name));
    }

    [Fact]
    public void ABypassedChainBypassesEveryStep()
    {
        var plan = new Song("""
            "room": { "type": "chain", "in": "bass", "bypass": true, "steps": [{ "type": "late", "latencyFrames": 4 }, { "type": "keyed", "key": "kick" }] }
            """).Stem("kick", Signals.Silence(9)).Stem("bass", Signals.Silence(9)).Output("room").Plan();

        Assert.Equal([true, true], plan.Steps.OfType<NodeStep>().Select(step => step.IsBypassed));
        Assert.Equal(4, plan.Writes.Single().LatencyFrames);
    }

    [Fact]
    public void WhatIsMadeOfMonoAndStereoIsStereoButAKeyDoesNotWidenAnything()
    {
        var plan = new Song("""
            "both": { "type": "sum", "in": ["mono", "stereo"] },
            "keyed": { "type": "keyed", "in": "mono", "key": "stereo" }
            """).Stem("mono", Signals.Silence(9)).Stem("stereo", Signals.Silence(9, 2))
            .Output("both").Output("keyed").Output("stereo", "narrow", "\"channels\": \"mono\"").Output("mono", "wide", "\"channels\": \"stereo\"").Plan();

        Assert.Equal(2, plan.Steps.Single(step => step.Name == "both").Channels);
        var keyed = (NodeStep)plan.Steps.Single(step => step.Name == "keyed");
        Assert.Equal(1, keyed.Channels);
        Assert.Equal([1, 2], keyed.InputFormats.Select(format => format.Channels));
        Assert.Equal(
            [("both", 2), ("keyed", 1), ("narrow", 1), ("wide", 2)],
            plan.Writes.Select(write => (write.Output, write.Channels)).Order());
    }

    private static IEnumerable<string> InputsOf(RenderPlan plan, string name) =>
        plan.Steps.Single(step => step.Name == name).Inputs.Select(input => plan.Steps[input].Name);
}
