using RenderGraph.Cli.Console;
using RenderGraph.Graph.Rendering;
using Xunit;

namespace RenderGraph.Cli.Tests.Console;

public class RenderWatchTests
{
    private static readonly RenderResult Done = new(48_000, [], []);

    [Theory]
    [InlineData(0, "rendering         [                              ]  0:00 of 3:00")]
    [InlineData(70.9, "rendering         [###########                   ]  1:10 of 3:00")]
    [InlineData(180, "rendering         [##############################]  3:00 of 3:00")]
    public void ShowsThePlaceInTheSong(double doneSeconds, string line) =>
        Assert.Equal(line, RenderWatch.Line("rendering", doneSeconds * 48_000, 180 * 48_000, 48_000));

    [Fact]
    public void IsSilentWhenNobodyWatches()
    {
        using var error = new StringWriter();
        Assert.Same(Done, RenderWatch.Run(new Terminal(error, error), 48_000, progress => progress is null ? Done : null!));
        Assert.Empty(error.ToString());
    }
}
