using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Rendering;

public class ListenPassTests
{
    private static readonly RenderOptions Short = new() { ThreadCount = 2, BlockFrames = 64 };

    //  bass -----------> listener --> out
    //  kick --key-----------^          kick is loudest at the very end
    [Fact]
    public void AListenerHearsItsKeyToTheEndBeforeAnythingIsRenderedEvenForAPart()
    {
        var kick = Signals.Fill(1, 1000, (_, frame) => frame == 999 ? -3 : 0.5);
        var song = new Song("""
            "listener": { "type": "listener", "in": "bass", "key": "kick" }
            """).Stem("bass", Signals.Noise(1000)).Stem("kick", kick).Output("listener");

        var part = song.Render(Short with { FromSeconds = 0.01, ToSeconds = 0.02 })["listener"];

        Sound.AssertEqual(Signals.Fill(1, 80, (_, frame) => song.Stems["bass"][0][80 + frame] * 3), part);
    }

    //  a --key--> first --key--> second --key--> third
    [Fact]
    public void ListenersBehindEachOthersKeysSettleOneAfterTheOther()
    {
        var song = new Song("""
            "third": { "type": "listener", "in": "a", "key": "second" },
            "second": { "type": "listener", "in": "a", "key": "first" },
            "first": { "type": "listener", "in": "a", "key": "a" }
            """).Stem("a", Signals.Fill(1, 500, (_, frame) => frame == 250 ? 2 : 0.25)).Output("third");

        // Loudest of a is 2; first is a x 2, its loudest 4; second a x 4, its loudest 8; third a x 8.
        Sound.AssertEqual(Signals.Fill(1, 500, (_, frame) => frame == 250 ? 16 : 2), song.Render(Short)["third"]);
    }

    //  k1 --> late --key--> one      each key lies in a plane that the next one's path uses again
    //  k2 --> late --key--> two
    //  k3 --> late --key--> three
    [Fact]
    public void ListenersOfOneRoundEachHearTheirOwnKey()
    {
        var song = new Song("""
            "k1Late": { "type": "late", "in": "k1", "latencyFrames": 10 },
            "k2Late": { "type": "late", "in": "k2", "latencyFrames": 300 },
            "k3Late": { "type": "late", "in": "k3", "latencyFrames": 0 },
            "one": { "type": "listener", "in": "k1", "key": "k1Late" },
            "two": { "type": "listener", "in": "k2", "key": "k2Late" },
            "three": { "type": "listener", "in": "k3", "key": "k3Late" }
            """).Stem("k1", Signals.Constant(1, 700)).Stem("k2", Signals.Constant(2, 700)).Stem("k3", Signals.Constant(3, 700))
            .Output("one").Output("two").Output("three");
        var plan = song.Plan();

        var given = song.Render(Short, plan);
        Sound.AssertEqual(Signals.Constant(1, 700), given["one"]);
        Sound.AssertEqual(Signals.Constant(4, 700), given["two"]);
        Sound.AssertEqual(Signals.Constant(9, 700), given["three"]);

        Assert.Equal(
            [("one", 710L), ("three", 700L), ("two", 1000L)], // the song, and as much as its key is late: whatever the others need
            plan.Steps.OfType<NodeStep>().Where(step => step.Node is ListenerNode).Select(step => (step.Id, ((ListenerNode)step.Node).FramesHeard)).Order());
    }

    //  a --> lane --> lane --key--> listener         the row shares its group with b's, which nobody has to hear
    //  b --> lane --> lane --in--------^
    [Fact]
    public void AListenerHearsWhatARowGivesThoughOnlyAPartOfTheGroupIsNeeded()
    {
        var song = new Song("""
            "a1": { "type": "lane", "in": "a" },
            "a2": { "type": "lane", "in": "a1" },
            "b1": { "type": "lane", "in": "b" },
            "b2": { "type": "lane", "in": "b1" },
            "listener": { "type": "listener", "in": "b2", "key": "a2" }
            """).Stem("a", Signals.Noise(600, seed: 1)).Stem("b", Signals.Noise(600, seed: 2, channels: 2)).Output("listener").Output("a2");
        var plan = song.Plan();
        var reads = new List<string>();
        var files = song.Files((stem, _) =>
        {
            lock (reads)
                reads.Add(stem);
        });

        song.RenderInto(files, Short, plan: plan);

        Assert.Single(plan.Steps.OfType<NodeStep>().Select(step => step.LaneGroup).Where(group => group >= 0).Distinct());
        Sound.AssertEqual(new ObviousRender(song).Outputs["listener"], files.Outputs["listener"]);
        Assert.Equal((20, 10), (reads.Count(stem => stem == "a"), reads.Count(stem => stem == "b"))); // 10 blocks each: b is only read for the render
    }

    [Fact]
    public void AMutedKeyIsHeardAllTheSame()
    {
        var song = new Song("""
            "listener": { "type": "listener", "in": "bass", "key": "kick" }
            """).Stem("bass", Signals.Constant(1, 300)).Stem("kick", Signals.Constant(5, 300), "\"muted\": true").Output("listener").Output("kick");

        var outputs = song.Render(Short);

        Sound.AssertEqual(Signals.Constant(5, 300), outputs["listener"]);
        Sound.AssertEqual(Signals.Silence(300), outputs["kick"]);
    }

    [Fact]
    public void ABypassedListenerCostsNoPass()
    {
        var song = new Song("""
            "listener": { "type": "listener", "in": "bass", "key": "kick", "bypass": true }
            """).Stem("bass", Signals.Noise(300)).Stem("kick", Signals.Noise(300)).Output("listener");
        var stages = new List<RenderStage>();
        var files = song.Files();

        song.RenderInto(files, Short, progress => stages.Add(progress.Stage));

        Sound.AssertEqual(song.Stems["bass"], files.Outputs["listener"]);
        Assert.Equal([RenderStage.Rendering], stages.Distinct());
    }

    [Fact]
    public void WhatAListenerFoundIsToldAfterTheRender()
    {
        var song = new Song("""
            "listener": { "type": "listener", "in": "bass", "key": "kick" }
            """).Stem("bass", Signals.Noise(300)).Stem("kick", Signals.Constant(0.75, 300)).Output("listener");

        var told = song.RenderInto(song.Files(), Short).Nodes.Single();

        Assert.Equal(("listener", "listener"), (told.Node, told.Type));
        Assert.Equal([new Contracts.Figure("loudest", 0.75)], told.Figures);
    }

    //  k1 --key--> one, two      k2 --key--> three      of a kind, but three's key is another signal
    [Fact]
    public void ListenersThatHearOneKeyInOneWayHearItOnce()
    {
        var song = new Song("""
            "one": { "type": "listenerSharing", "in": "a", "key": "k1" },
            "two": { "type": "listenerSharing", "in": "a", "key": "k1" },
            "three": { "type": "listenerSharing", "in": "a", "key": "k2" },
            "sum": { "type": "sum", "in": ["one", "two", "three"] }
            """).Stem("a", Signals.Constant(1, 700)).Stem("k1", Signals.Constant(2, 700)).Stem("k2", Signals.Constant(5, 700)).Output("sum");
        var plan = song.Plan();

        Sound.AssertEqual(Signals.Constant(2 + 2 + 5, 700), song.Render(Short, plan)["sum"]);

        var heard = plan.Steps.OfType<NodeStep>().Where(step => step.Node is ListenerNode)
            .ToDictionary(step => step.Id, step => ((ListenerNode)step.Node).FramesHeard);
        Assert.Equal(700, heard["three"]);
        Assert.Equal([0L, 700L], new[] { heard["one"], heard["two"] }.Order());
    }
}
