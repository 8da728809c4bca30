using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Rendering;
using RenderGraph.Graph.Tests.Stubs;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Graph.Tests.Rendering;

public class RendererTests
{
    private static readonly RenderOptions Options = new() { ThreadCount = 3, BlockFrames = 64 };

    //  a --> listener --> lane --> first, second
    private static Song TwoOutputs => new Song("""
        "listener": { "type": "listener", "in": "a", "key": "a" },
        "lane": { "type": "lane", "in": "listener" }
        """).Stem("a", Signals.Noise(5000)).Output("lane", "first", "").Output("a", "second", "\"channels\": \"stereo\"");

    [Fact]
    public void APlanCanBeRenderedAgainWithTheSameResult()
    {
        var song = TwoOutputs;
        var plan = song.Plan();
        var first = song.Render(Options, plan);

        var second = song.Render(Options, plan);

        Assert.All(first, output => Sound.AssertEqual(output.Value, second[output.Key]));
    }

    [Fact]
    public void GroupsRunInTheSteadOfTheirNodesOnceABlock()
    {
        var song = new Song("""
            "aLane": { "type": "lane", "in": "a" },
            "bLane": { "type": "laneKeyed", "in": "b", "key": "a" },
            "sum": { "type": "sum", "in": ["aLane", "bLane"] }
            """).Stem("a", Signals.Noise(640)).Stem("b", Signals.Noise(640)).Output("sum");
        var plan = song.Plan();

        song.Render(Options, plan);

        var groups = plan.Steps.OfType<NodeStep>().Select(step => step.Node).OfType<LaneNode>().Select(node => node.Group).Distinct().ToList();
        Assert.Equal((2, 10), (Assert.Single(groups)!.LaneCount, groups[0]!.BlockCount));
    }

    [Fact]
    public void TellsWhatWasWritten()
    {
        var song = TwoOutputs;

        var result = song.RenderInto(song.Files(), Options);

        Assert.Equal(Song.SampleRateHz, result.SampleRateHz);
        Assert.Equal(
            [("first", 1, 5000L), ("second", 2, 5000L)],
            result.Outputs.Select(output => (output.Output, output.Channels, output.Summary.Frames)).Order());
    }

    [Theory]
    [InlineData(0, 2048)]
    [InlineData(1, 15)]
    [InlineData(1, 65537)]
    public void OptionsOutOfTheirBoundsAreRefused(int threads, int blockFrames) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => TwoOutputs.Render(new() { ThreadCount = threads, BlockFrames = blockFrames }));

    [Fact]
    public void AStemThatFailsWhileItIsHeardCommitsNothing() => AssertStemFailure(reads: 20);

    [Fact]
    public void AStemThatFailsInTheMiddleOfTheRenderCommitsNothing() => AssertStemFailure(reads: 79 + 20);

    [Theory]
    [InlineData("first", FailingOutputs.Moment.Create)]
    [InlineData("second", FailingOutputs.Moment.Create)]
    [InlineData("first", FailingOutputs.Moment.SecondWrite)]
    [InlineData("second", FailingOutputs.Moment.SecondWrite)]
    [InlineData("first", FailingOutputs.Moment.Finish)]
    [InlineData("second", FailingOutputs.Moment.Finish)]
    [InlineData("first", FailingOutputs.Moment.Commit)]
    internal void AnOutputThatFailsCommitsNothing(string output, FailingOutputs.Moment moment)
    {
        var song = TwoOutputs;
        var files = song.Files();

        Assert.Throws<OutputException>(() => song.RenderInto(new FailingOutputs(files, output, moment), Options));

        Assert.Empty(files.Outputs);
        Assert.Equal(0, files.OpenOutputs);
    }

    [Fact]
    public void AnOutputThatCannotBeMovedIntoPlaceLeavesThoseBeforeItThereAndNothingElse()
    {
        var song = TwoOutputs;
        var files = song.Files();

        Assert.Throws<OutputException>(() => song.RenderInto(new FailingOutputs(files, "second", FailingOutputs.Moment.Commit), Options));

        Assert.Equal(["first"], files.Outputs.Keys);
        Assert.Equal(0, files.OpenOutputs);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(20)]
    [InlineData(79 + 20)]
    public void AnInterruptedRenderCommitsNothing(int reads)
    {
        var song = TwoOutputs;
        using var interrupt = new CancellationTokenSource();
        var count = 0;
        var files = song.Files((_, _) =>
        {
            if (Interlocked.Increment(ref count) == reads)
                interrupt.Cancel();
        });
        if (reads == 0)
            interrupt.Cancel();

        Assert.Throws<OperationCanceledException>(() => song.RenderInto(files, Options, cancellation: interrupt.Token));

        Assert.InRange(count, 0, reads + Options.ThreadCount);
        Assert.Empty(files.Outputs);
        Assert.Equal(0, files.OpenOutputs);
    }

    [Fact]
    public void AnInterruptionAfterTheLastBlockStillCommitsNothing()
    {
        var song = TwoOutputs;
        using var interrupt = new CancellationTokenSource();
        var files = song.Files();

        Assert.Throws<OperationCanceledException>(() => song.RenderInto(files, Options, progress =>
        {
            if (progress is { Stage: RenderStage.Rendering, DoneFrames: 5000 })
                interrupt.Cancel();
        }, cancellation: interrupt.Token));

        Assert.Empty(files.Outputs);
        Assert.Equal(0, files.OpenOutputs);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(4)]
    public void ProgressNeverGoesBackAndReachesTheEndOfEachStage(int threads)
    {
        var song = new Song("""
            "first": { "type": "listener", "in": "a", "key": "a" },
            "slow": { "type": "late", "in": "first", "latencyFrames": 333 },
            "second": { "type": "listener", "in": "a", "key": "slow" }
            """).Stem("a", Signals.Noise(2000)).Output("second").Output("a");
        var told = new List<RenderProgress>();

        song.RenderInto(song.Files(), new() { ThreadCount = threads, BlockFrames = 64 }, told.Add);

        Assert.Equal(told.OrderBy(progress => progress.Stage).ThenBy(progress => progress.DoneFrames), told);
        Assert.Equal(told.Distinct(), told);
        foreach (var (stage, frames) in new[] { (RenderStage.Listening, 2000 + 2333), (RenderStage.Rendering, 2333) })
        {
            var ofStage = told.Where(progress => progress.Stage == stage).ToList();
            Assert.All(ofStage, progress => Assert.Equal(frames, progress.TotalFrames));
            Assert.Equal(frames, ofStage[^1].DoneFrames);
        }
    }

    private static void AssertStemFailure(int reads)
    {
        var song = TwoOutputs;
        var count = 0;
        var files = song.Files((path, _) =>
        {
            if (Interlocked.Increment(ref count) == reads)
                throw new StemException(DiagnosticCode.StemUnreadable, path, "the disk failed", "Copy the stem");
        });

        var failure = Assert.Throws<StemException>(() => song.RenderInto(files, Options));

        Assert.Equal(("a", "the disk failed"), (failure.Path, failure.Sentence));
        Assert.Empty(files.Outputs);
        Assert.Equal(0, files.OpenOutputs);
    }
}
