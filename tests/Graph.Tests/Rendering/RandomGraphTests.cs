using CsCheck;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Tests.Stubs;
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
            Assert.All(expected, output => Sound.AssertEqual(output.Value, given[output.Key], output.Key));
        }, iter: 400, threads: 1, print: song => song.ToString());

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
