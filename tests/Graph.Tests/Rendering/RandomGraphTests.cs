using CsCheck;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Rendering;

public class RandomGraphTests
{
    private static readonly int[] BlockLengths = [16, 64, 777, 2048, 16384];

    [Fact]
    public void GivesWhatTheObviousRenderOfTheWholeSongGives() =>
        RandomSong.Any.Sample(song =>
        {
            var expected = new ObviousRender(song).Outputs;
            var given = song.Render(new() { ThreadCount = 1, BlockFrames = 64 });
            Assert.Equal(expected.Keys.Order(), given.Keys.Order());
            Assert.All(expected.Where(output => !IsUntreated(output.Key)), output => Sound.AssertEqual(output.Value, given[output.Key], output.Key));

            // Its stems are added up in another order.
            Assert.All(expected.Where(output => IsUntreated(output.Key)), output =>
            {
                Assert.Equal((output.Value.Channels, output.Value.Frames), (given[output.Key].Channels, given[output.Key].Frames));
                Assert.InRange(Signals.LargestDifference(output.Value, given[output.Key]), 0, 1e-14);
            });
        }, iter: 400, threads: 1, print: song => song.ToString());

    private static bool IsUntreated(string output) => output.StartsWith('u');

    [Fact]
    public void GivesTheSameBitsForAnyNumberOfThreadsAndAnyBlockLength() =>
        RandomSong.Any.Sample(song =>
        {
            var plan = song.Plan();
            var expected = song.Render(new() { ThreadCount = 1, BlockFrames = 2048 }, plan);
            foreach (var threads in new[] { 1, 2, 4 })
            {
                foreach (var blockFrames in BlockLengths)
                {
                    var given = song.Render(new() { ThreadCount = threads, BlockFrames = blockFrames }, plan);
                    Assert.All(expected, output => Sound.AssertEqual(
                        output.Value, given[output.Key], $"{output.Key} with {threads} threads, {blockFrames} frames a block"));
                }
            }
        }, iter: 40, threads: 1, print: song => song.ToString());
}
