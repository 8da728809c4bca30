using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Rendering;

/// <summary>The nodes there really are, in one graph that has all that the engine can do to them: lanes, listeners, latency, silence, mutes.</summary>
public class BuiltInNodesTests
{
    //  kick (muted) --key--> gritRoom, subRoom, duck
    //  grit --> high-pass > keyedCut > saturate ---+
    //  sub  --> high-pass > keyedCut --------------+--> mix --> lows
    //  pads --> high-pass > bell > duck -----------+
    //  hats --> high-pass > bell > delay ----------+
    private static readonly Song LowEnd = new Song("""
        "gritRoom": { "type": "chain", "in": "grit", "steps": [
          { "type": "highPass", "frequencyHz": 60 },
          { "type": "keyedCut", "key": "kick", "frequencyHz": 60 },
          { "type": "saturate", "driveDb": 9, "belowHz": 200 } ] },
        "subRoom": { "type": "chain", "in": "sub", "steps": [
          { "type": "highPass", "frequencyHz": 25 },
          { "type": "keyedCut", "key": "kickLows", "frequencyHz": 50, "depthDb": 9 } ] },
        "padsRoom": { "type": "chain", "in": "pads", "steps": [
          { "type": "highPass", "frequencyHz": 110 }, { "type": "bell", "frequencyHz": 200, "gainDb": -3 },
          { "type": "duck", "key": "kick", "lookaheadMs": 5 } ] },
        "hatsRoom": { "type": "chain", "in": "hats", "steps": [
          { "type": "highPass", "frequencyHz": 300 }, { "type": "bell", "frequencyHz": 900, "gainDb": 2 },
          { "type": "delay", "delayFrames": -2.25 } ] },
        "kickLows": { "type": "lowPass", "in": "kick", "frequencyHz": 120 },
        "mix": { "type": "mix", "in": ["kick", "gritRoom", { "from": "subRoom", "gainDb": -1 }, "padsRoom", "hatsRoom"] },
        "lows": { "type": "lowPass", "in": "mix", "frequencyHz": 300 }
        """)
        .Stem("kick", WithGaps(Signals.Sine(55, Song.SampleRateHz, 9000, amplitude: 0.8)), "\"muted\": true")
        .Stem("grit", Signals.Noise(9000, seed: 1)).Stem("sub", Signals.Sine(50, Song.SampleRateHz, 8000, amplitude: 0.6))
        .Stem("pads", WithGaps(Signals.Noise(9000, seed: 3, channels: 2))).Stem("hats", WithGaps(Signals.Noise(9000, seed: 4)), "\"startMs\": 100")
        .Output("mix", "\"tailMs\": 100").Output("lows", "\"channels\": \"mono\"");

    [Fact]
    public void GiveTheSameBitsForAnyNumberOfThreadsAndAnyBlockLength()
    {
        var plan = LowEnd.Plan();
        var expected = LowEnd.Render(new() { ThreadCount = 1, BlockFrames = 4096 }, plan);
        Assert.InRange(Signals.Peak(expected["lows"]), 0.1, 4);
        foreach (var threads in new[] { 1, 2, 4 })
        {
            foreach (var blockFrames in new[] { 16, 64, 777, 2048, 16384 })
            {
                var given = LowEnd.Render(new() { ThreadCount = threads, BlockFrames = blockFrames }, plan);
                Assert.All(expected, output => Sound.AssertEqual(
                    output.Value, given[output.Key], $"{output.Key} with {threads} threads, {blockFrames} frames a block"));
            }
        }
    }

    [Fact]
    public void GiveInAPartWhatTheyGiveThereInTheWhole()
    {
        var plan = LowEnd.Plan();
        var whole = LowEnd.Render(new() { ThreadCount = 2 }, plan);

        var part = LowEnd.Render(new() { ThreadCount = 2, BlockFrames = 333, FromSeconds = 0.5, ToSeconds = 0.8 }, plan);

        Assert.All(whole, output => Sound.AssertEqual(output.Value.Slice(4000, 2400), part[output.Key], output.Key));
    }

    [Fact]
    public void GiveInAGroupWhatTheyGiveAlone()
    {
        var plan = LowEnd.Plan();
        var expected = LowEnd.Render(null, plan);
        Assert.Contains(plan.Steps.OfType<NodeStep>().Where(step => step.LaneGroup >= 0).GroupBy(step => step.LaneGroup), group => group.Count() > 3);

        // Alone: every node is hidden behind one that can do nothing but its own work.
        var document = LowEnd.Document;
        var alone = Planner.Plan(document, LowEnd.Formats, Song.SampleRateHz, entry => entry.CreateNode(document, Song.SampleRateHz) switch
        {
            IListeningNode listener => new LoneListener(listener),
            var node => new Loner(node),
        });
        Assert.All(alone.Steps.OfType<NodeStep>(), step => Assert.Equal(-1, step.LaneGroup));
        var given = LowEnd.Render(null, alone);

        Assert.All(expected, output => Sound.AssertEqual(output.Value, given[output.Key], output.Key));
    }

    private static Signal WithGaps(Signal signal) =>
        Signals.Fill(signal.Channels, signal.Frames, (channel, frame) => frame / 900 % 3 == 1 ? signal[channel][frame] : 0);

    private class Loner(INode node) : INode
    {
        public int LatencyFrames(int sampleRateHz) => node.LatencyFrames(sampleRateHz);

        public int KeyLeadFrames(int sampleRateHz) => node.KeyLeadFrames(sampleRateHz);

        public void Prepare(NodeFormat format) => node.Prepare(format);

        public void Process(in Block block) => node.Process(block);
    }

    private sealed class LoneListener(IListeningNode node) : Loner(node), IListeningNode
    {
        public bool MustListen => node.MustListen;

        public int ListenInput => node.ListenInput;

        public void Listen(long songFrame, Signal heard) => node.Listen(songFrame, heard);

        public double Settle() => node.Settle();

        public void Recall(double settled) => node.Recall(settled);
    }
}
