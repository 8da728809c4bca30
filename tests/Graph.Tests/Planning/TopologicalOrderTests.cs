using System.Text;
using CsCheck;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Planning;

public class TopologicalOrderTests
{
    [Fact]
    public void EveryStepComesAfterAllThatItTakes() =>
        RandomSong.Any.Sample(song =>
        {
            var steps = song.Plan().Steps;
            for (var index = 0; index < steps.Count; index++)
                Assert.All(steps[index].Inputs, input => Assert.InRange(input, 0, index - 1));
        }, iter: 300, threads: 1, print: song => song.ToString());

    [Fact]
    public void TheOrderInWhichNamesWereWrittenPlaysNoPart() =>
        Gen.Select(RandomSong.Any, Gen.Int[0, 1_000_000]).Sample((song, seed) =>
        {
            var (document, random) = (song.Document, new Random(seed));
            var expected = PlanText.Of(Planner.Plan(document, song.Formats, Song.SampleRateHz));
            for (var shuffle = 0; shuffle < 10; shuffle++)
            {
                var shuffled = document with
                {
                    Stems = Shuffled(document.Stems, random), Nodes = Shuffled(document.Nodes, random), Outputs = Shuffled(document.Outputs, random),
                };
                Assert.Equal(expected, PlanText.Of(Planner.Plan(shuffled, song.Formats, Song.SampleRateHz)));
            }
        }, iter: 60, threads: 1, print: pair => pair.Item1.ToString());

    //  z --+
    //  m --+--> both --> both
    //  a --+
    [Fact]
    public void StepsThatWaitForNobodyComeByName()
    {
        var song = new Song("""
            "both": { "type": "sum", "in": ["z", "a", "m"] }
            """).Stem("m", Signals.Silence(9)).Stem("z", Signals.Silence(9)).Stem("a", Signals.Silence(9)).Output("both");

        Assert.Equal(["a", "m", "z", "both", "write:both"], song.Plan().Steps.Select(step => step.Name));
    }

    //  a --> late --> aLate --+
    //  b --> late --> bLate --+--> both --> both
    [Fact]
    public void AStemsWholeTreatmentStandsTogether()
    {
        var song = new Song("""
            "both": { "type": "sum", "in": ["bLate", "aLate"] },
            "bLate": { "type": "late", "in": "b", "latencyFrames": 3 },
            "aLate": { "type": "late", "in": "a", "latencyFrames": 3 }
            """).Stem("b", Signals.Silence(9)).Stem("a", Signals.Silence(9)).Output("both");

        Assert.Equal(["a", "aLate", "b", "bLate", "both", "write:both"], song.Plan().Steps.Select(step => step.Name));
    }

    //  a --> used --> used
    //   \--> unused            b (reaches nothing)
    [Fact]
    public void WhatReachesNoOutputIsNotPlannedButItsStemStillCountsForTheLength()
    {
        var song = new Song("""
            "used": { "type": "late", "in": "a", "latencyFrames": 0 },
            "unused": { "type": "late", "in": "a", "latencyFrames": 0 }
            """).Stem("a", Signals.Silence(9)).Stem("b", Signals.Silence(99)).Output("used");

        var plan = song.Plan();

        Assert.Equal(["a", "used", "write:used"], plan.Steps.Select(step => step.Name));
        Assert.Equal(99, plan.LengthFrames);
    }

    //  a --> n0 --> n1 --> ... --> n9999 --> out
    [Theory]
    [InlineData("late", ", \"latencyFrames\": 1", 10_000)]
    [InlineData("lane", "", 0)]
    public void TenThousandNodesInARowArePlanned(string type, string more, int latencyFrames)
    {
        var nodes = new StringBuilder();
        for (var index = 0; index < 10_000; index++)
            nodes.Append($"{(index == 0 ? "" : ",")} \"n{index}\": {{ \"type\": \"{type}\", \"in\": \"{(index == 0 ? "a" : $"n{index - 1}")}\"{more} }}");
        var song = new Song(nodes.ToString()).Stem("a", Signals.Silence(9)).Output("n9999");

        var plan = song.Plan();

        Assert.Equal(10_002, plan.Steps.Count);
        Assert.Equal(latencyFrames, plan.Writes.Single().LatencyFrames);
        Assert.Equal(2, plan.BufferCount);
    }

    private static List<T> Shuffled<T>(IEnumerable<T> items, Random random) => [.. items.OrderBy(_ => random.Next())];
}
