using Xunit;

namespace RenderGraph.Cli.Tests;

public class CommandLineTests
{
    [Fact]
    public void AloneItTellsItsJobAndItsCommands()
    {
        var run = CommandRun.Of();
        Assert.Equal(0, run.ExitCode);
        Assert.Contains("Cleans up the low end of a multitrack song", run.Out, StringComparison.Ordinal);
        foreach (var command in new[] { "render", "check", "plan", "nodes", "demo" })
            Assert.Contains($"\n  {command} ", run.Out, StringComparison.Ordinal);
        Assert.Empty(run.Error);
    }

    [Fact]
    public void TellsItsVersionAsThreeNumbers() => Assert.Matches(@"^\d+\.\d+\.\d+\n$", CommandRun.Of("--version").Out);

    [Theory]
    [InlineData("rendr song.json", "rendergraph: there is no command \"rendr\". Did you mean render?")]
    [InlineData("render", "rendergraph render: GRAPH is missing. Try: rendergraph render song.json")]
    [InlineData("check", "rendergraph check: GRAPH is missing. Try: rendergraph check song.json")]
    [InlineData("render a.json --thread 2", "rendergraph render: there is no option \"--thread\". Did you mean --threads?")]
    [InlineData("render a.json b.json", "rendergraph render: there is no further argument \"b.json\". See rendergraph render --help.")]
    [InlineData("render a.json --threads 0", "rendergraph render: --threads is \"0\", but a whole number from 1 to 256 was wanted.")]
    [InlineData("render a.json --threads 1,5", "rendergraph render: --threads is \"1,5\", but a whole number from 1 to 256 was wanted.")]
    [InlineData("render a.json --block-frames 8", "rendergraph render: --block-frames is \"8\", but a whole number from 16 to 65536 was wanted.")]
    [InlineData("render a.json --from 1:75", "rendergraph render: --from is \"1:75\", but a time was wanted: seconds (12.5) or minutes and seconds (0:12.5).")]
    [InlineData("render a.json --from 12,5", "rendergraph render: --from is \"12,5\", but a time was wanted: seconds (12.5) or minutes and seconds (0:12.5).")]
    [InlineData("render a.json --from 5 --to 4.5", "rendergraph render: --from 0:05.000 must come before --to 0:04.500.")]
    [InlineData("render a.json --threads 1 --threads 2", "rendergraph render: --threads is given twice. Leave one out.")]
    [InlineData("plan a.json --format jason", "rendergraph plan: --format is \"jason\", but one of text, json, mermaid was wanted. Did you mean json?")]
    [InlineData("nodes keydCut", "rendergraph nodes: there is no node \"keydCut\". Did you mean keyedCut?")]
    [InlineData("plan a.json --format", "rendergraph plan: --format needs a value: text, json, mermaid.")]
    [InlineData("render a.json --from", "rendergraph render: --from needs a value: seconds (12.5) or minutes and seconds (0:12.5).")]
    [InlineData("render a.json --out", "rendergraph render: --out needs a value: a folder.")]
    public void AnswersAWrongCommandLineInOneLineAndCode2(string arguments, string message)
    {
        var run = CommandRun.Of(arguments.Split(' '));
        Assert.Equal(message + "\n", run.Error);
        Assert.Empty(run.Out);
        Assert.Equal(2, run.ExitCode);
    }

    [Fact]
    public void NeverTakesAGraphForAFileOfArguments()
    {
        using var folder = new TempFolder();
        folder.Write("args", "--version");
        var run = CommandRun.Of("check", "@" + folder["args"]);
        Assert.Equal(3, run.ExitCode);
        Assert.Contains("RG306", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void SaysSoIfItsOwnCodeFailsAndShowsNoTrace()
    {
        // A terminal that cannot be written to is the nearest thing to a fault of our own that can be brought about from outside.
        using var broken = new BrokenWriter();
        using var error = new StringWriter { NewLine = "\n" };
        var exitCode = CommandLine.Run(["nodes"], new CommandSetting(
            new(broken, error), RenderGraph.Nodes.BuiltInNodes.Catalog, new RenderGraph.Nodes.AudioFiles.DiskAudioFiles(), CancellationToken.None));
        Assert.Equal(70, exitCode);
        Assert.Equal(
            "This is a fault in rendergraph, not in your graph: InvalidTimeZoneException: torn in two Please report it with the graph; RENDERGRAPH_DEBUG=1 shows where it happened.\n",
            error.ToString());
    }

    private sealed class BrokenWriter : StringWriter
    {
        public override void WriteLine(string? value) => throw new InvalidTimeZoneException("torn\nin two");

        public override void Write(string? value) => throw new InvalidTimeZoneException("torn\nin two");
    }
}
