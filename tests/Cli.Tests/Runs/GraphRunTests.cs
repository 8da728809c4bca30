using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Cli.Tests.Runs;

public sealed class GraphRunTests : IDisposable
{
    private const string Graph = """
        { "format": 1, "stems": { "kick": { "file": "kick.wav" } },
          "outputs": { "mix": { "in": "kick", "file": "mix.wav" } },
          "expect": [{ "measure": "samplePeakDbfs", "of": "mix", "atMost": -12 }] }
        """;

    private static readonly RunSetting Setting = new(BuiltInNodes.Catalog, new DiskAudioFiles(), CancellationToken.None);

    private readonly TempFolder _folder = new();

    public GraphRunTests() => WaveFile.Write(_folder["kick.wav"], Signals.Sine(60, 48_000, 48_000, amplitude: 0.5));

    public void Dispose() => _folder.Dispose();

    [Fact]
    public void TellsStatusFindingsMeasuresAndExitCodeWithoutAConsole()
    {
        var outcome = GraphRun.Run(new(GraphSource.OfFile(_folder.Write("song.json", Graph)), _folder["out"]), Setting);
        Assert.Equal((RunStatus.Rendered, ExitCode.GateFailed), (outcome.Status, outcome.ExitCode));
        Assert.Equal(DiagnosticCode.GateFailed, Assert.Single(outcome.Diagnostics.InOrder).Code);
        Assert.False(Assert.Single(outcome.Report!.Gates.Results).Holds);
        Assert.Equal(["samplePeakDbfs"], outcome.Result!.Measures[0].Measurements.Select(measure => measure.Name));
        Assert.True(File.Exists(_folder["out/mix.wav"]));
    }

    [Fact]
    public void ADocumentNeedsNoFileAndWhatItWasReadFromIsNotWrittenOver()
    {
        var document = GraphReader.Read("recipe.json", System.Text.Encoding.UTF8.GetBytes(Graph), BuiltInNodes.Catalog, new())!;
        var place = new GraphPlace(_folder.Path, "", [("the song's own file", _folder["out/mix.wav"])]);
        var refused = GraphRun.Run(new(GraphSource.Of(document, place), _folder["out"]), Setting);
        Assert.Equal((RunStatus.Refused, ExitCode.OutputUnwritable), (refused.Status, refused.ExitCode));
        Assert.Contains("would be written over the song's own file", refused.Diagnostics.InOrder[0].Sentence, StringComparison.Ordinal);

        var outcome = GraphRun.Run(new(GraphSource.Of(document, place), _folder["elsewhere"]), Setting);
        Assert.Equal(RunStatus.Rendered, outcome.Status);
        Assert.True(File.Exists(_folder["elsewhere/mix.wav"]));
    }

    [Fact]
    public void AStemThatFailsWhileRenderingIsAFailedRunThatWroteNothing()
    {
        var watched = new WatchedFiles { AfterRead = stem => File.AppendAllText(stem, " ") };
        var outcome = GraphRun.Run(new(GraphSource.OfFile(_folder.Write("song.json", Graph)), _folder["out"]), Setting with { Files = watched });
        Assert.Equal((RunStatus.Failed, ExitCode.InputUnreadable), (outcome.Status, outcome.ExitCode));
        Assert.Null(outcome.Report);
        Assert.False(File.Exists(_folder["out/mix.wav"]));
    }
}
