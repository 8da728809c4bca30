using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Planning;

public class PlannerTests
{
    [Theory]
    [InlineData(0, 0, 100)] // the longer of the two
    [InlineData(0, 10, 140)] // 10 ms are 80 frames: 80 + 60
    [InlineData(-10, 0, 60)] // 100 - 80 is less than 60
    [InlineData(-100, -100, 0)] // all cut away
    [InlineData(0.0625, 0, 101)] // half a frame goes away from 0
    public void ASongLastsUntilItsLastStemHasEnded(double firstStartMs, double secondStartMs, long frames)
    {
        var plan = new Song("")
            .Stem("first", Signals.Silence(100), FormattableString.Invariant($"\"startMs\": {firstStartMs}"))
            .Stem("second", Signals.Silence(60), FormattableString.Invariant($"\"startMs\": {secondStartMs}"))
            .Output("first").Plan();

        Assert.Equal(frames, plan.LengthFrames);
        Assert.Equal(frames, plan.Writes.Single().LengthFrames);
    }

    [Fact]
    public void AnOutputIsLongerByItsTail()
    {
        var plan = new Song("").Stem("a", Signals.Silence(100)).Output("a", "\"tailMs\": 12.5").Plan();

        Assert.Equal(100, plan.LengthFrames);
        Assert.Equal(200, plan.Writes.Single().LengthFrames);
    }

    [Fact]
    public void NodesAreMadeFromTheirEntries()
    {
        var plan = new Song("""
            "late": { "type": "late", "in": "a", "latencyFrames": 33 }
            """).Stem("a", Signals.Silence(100)).Output("late").Plan();

        Assert.Equal(33, Assert.IsType<LateNode>(plan.Steps.OfType<NodeStep>().Single().Node).LatencyFrames(Song.SampleRateHz));
    }
}
