using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Rendering;

/// <summary>Workers that wait for each other must always be woken. The minutes are there so that a hang is a failure, not to measure anything.</summary>
public class BlockPipelineTests
{
    private static readonly TimeSpan Hang = TimeSpan.FromMinutes(2);

    //  a --> late --> lane --> late --> lane ... 12 of them --> out
    private static Song LongChain(int frames) => new Song(string.Join(",\n", Enumerable.Range(0, 12).Select(index => $$"""
        "n{{index}}": { "type": "{{(index % 2 == 0 ? "late" : "lane")}}", "in": "{{(index == 0 ? "a" : $"n{index - 1}")}}"{{(index % 2 == 0 ? ", \"latencyFrames\": 7" : "")}} }
        """))).Stem("a", Signals.Noise(frames)).Output("n11");

    [Fact]
    public async Task ManyThreadsOnTinyBlocksAlwaysEndWithTheSameBits()
    {
        var song = LongChain(16 * 2000);
        var expected = song.Render(new() { ThreadCount = 1, BlockFrames = 4096 })["n11"];
        for (var run = 0; run < 8; run++)
        {
            var given = await Task.Run(() => song.Render(new() { ThreadCount = 8, BlockFrames = 16 })).WaitAsync(Hang);
            Sound.AssertEqual(expected, given["n11"], $"run {run}");
        }
    }

    [Fact]
    public async Task AWorkerThatMustSleepForASlowNeighbourIsWoken()
    {
        var song = LongChain(16 * 60);
        var expected = song.Render(new() { ThreadCount = 1 })["n11"];
        var files = song.Files((_, frame) =>
        {
            if (frame % 64 == 0)
                Thread.Sleep(5); // far longer than anybody spins
        });

        await Task.Run(() => song.RenderInto(files, new() { ThreadCount = 4, BlockFrames = 16 })).WaitAsync(Hang);

        Sound.AssertEqual(expected, files.Outputs["n11"]);
    }

    [Fact]
    public async Task AFailureInAnyWorkerStopsAllOfThemEveryTime()
    {
        var song = LongChain(16 * 40);
        for (var run = 0; run < 200; run++)
        {
            var failing = run % 40 * 16;
            var files = song.Files((_, frame) =>
            {
                if (frame == failing)
                    throw new InvalidOperationException("in a worker");
            });

            await Assert.ThrowsAsync<InvalidOperationException>(
                () => Task.Run(() => song.RenderInto(files, new() { ThreadCount = 4, BlockFrames = 16 })).WaitAsync(Hang));

            Assert.Equal((0, 0), (files.Outputs.Count, files.OpenOutputs));
        }
    }

    [Fact]
    public async Task AFailureWhileOthersWaitForThatVeryJobStopsAllOfThemEveryTime()
    {
        var song = LongChain(16 * 40);
        for (var run = 0; run < 200; run++)
        {
            var files = song.Files();
            var outputs = new FailingOutputs(files, "n11", FailingOutputs.Moment.SecondWrite);

            await Assert.ThrowsAsync<OutputException>(
                () => Task.Run(() => song.RenderInto(outputs, new() { ThreadCount = 4, BlockFrames = 16 })).WaitAsync(Hang));

            Assert.Equal((0, 0), (files.Outputs.Count, files.OpenOutputs));
        }
    }

    [Fact]
    public void MoreWorkersThanBlocksGiveTheSameBits()
    {
        var song = LongChain(100);

        Sound.AssertEqual(song.Render(new() { ThreadCount = 1 })["n11"], song.Render(new() { ThreadCount = 16, BlockFrames = 4096 })["n11"]);
    }
}
