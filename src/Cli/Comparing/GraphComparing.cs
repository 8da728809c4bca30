using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Rendering;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Nodes.Measures.Comparing;

namespace RenderGraph.Cli.Comparing;

/// <summary>Compares a graph's song with itself untreated, or with that of another graph. None of the graph's files is written.</summary>
internal static class GraphComparing
{
    /// <summary>A graph against its untreated song; null, after noting why, if that cannot be had.</summary>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static Comparison? OfGraph(CommandSetting setting, string path, bool allowOutside, DiagnosticList diagnostics)
    {
        using var open = Open(setting, path, allowOutside, diagnostics);
        if (open is null || SongOf(open, path, diagnostics) is not { } output)
            return null;
        var plan = open.Plan;
        try
        {
            var result = RenderWatch.Run(setting.Terminal, plan.SampleRateHz, progress => Renderer.Render(
                plan, open.Loaded.Stems.Readers, new Dictionary<string, string>(), setting.Files, new RenderOptions(), progress, setting.Cancellation));
            return new("untreated", Say.Path(Path.GetFullPath(path)), plan.SampleRateHz, plan.LengthFrames, result.Change!)
            {
                Notes = [$"It is the song that goes into output \"{output}\", before any master processing."],
            };
        }
        catch (StemException failure)
        {
            diagnostics.Add(new(failure.Code, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
            return null;
        }
    }

    /// <summary>One graph's song against another's; null, after noting why, if either cannot be had.</summary>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static Comparison? OfGraphs(CommandSetting setting, string before, string after, bool allowOutside, DiagnosticList diagnostics)
    {
        using var first = Open(setting, before, allowOutside, diagnostics);
        using var second = Open(setting, after, allowOutside, diagnostics);
        if (first is null || second is null || SongOf(first, before, diagnostics) is not { } firstOutput || SongOf(second, after, diagnostics) is not { } secondOutput)
            return null;
        if (first.Plan.SampleRateHz != second.Plan.SampleRateHz)
        {
            diagnostics.Add(new(
                DiagnosticCode.MixedSampleRates, after, default, $"it is rendered at {Say.Whole(second.Plan.SampleRateHz)} Hz, but {before} at {Say.Whole(first.Plan.SampleRateHz)} Hz",
                "Give both the same \"sampleRateHz\""));
            return null;
        }

        var folder = Directory.CreateTempSubdirectory("rendergraph-");
        try
        {
            using var one = new SpooledSong(setting, first, firstOutput, Path.Combine(folder.FullName, "before"));
            using var two = new SpooledSong(setting, second, secondOutput, Path.Combine(folder.FullName, "after"));
            return new(before, after, first.Plan.SampleRateHz, Math.Max(one.LengthFrames, two.LengthFrames), SpooledSong.Compare(one, two, setting.Cancellation))
            {
                Notes = [$"They are the songs that go into the outputs \"{firstOutput}\" and \"{secondOutput}\", before any master processing."],
            };
        }
        catch (StemException failure)
        {
            diagnostics.Add(new(failure.Code, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
            return null;
        }
        catch (OutputException failure)
        {
            diagnostics.Add(new(DiagnosticCode.OutputUnwritable, Say.Path(failure.Path), default, failure.Sentence, failure.Remedy));
            return null;
        }
        finally
        {
            Delete(folder);
        }
    }

    private static OpenGraph? Open(CommandSetting setting, string path, bool allowOutside, DiagnosticList diagnostics)
    {
        var order = new RunOrder(GraphSource.OfFile(path), OutFolder: null) { AllowOutside = allowOutside, Judging = Judging.Alone };
        return order.Graph.Read(setting.Catalog, diagnostics) is { } document ? OpenGraph.Open(order, document, setting.Anchor, setting, diagnostics) : null;
    }

    private static string? SongOf(OpenGraph open, string path, DiagnosticList diagnostics)
    {
        if (open.Loaded.Document.Compared is { } song)
            return song.Output;
        diagnostics.Add(new(DiagnosticCode.NotMeasurable, path, default, "none of its outputs comes from a mix, so there is no song to compare", "Add up the stems in a mix, and let an output take it"));
        return null;
    }

    private static void Delete(DirectoryInfo folder)
    {
        try
        {
            folder.Delete(recursive: true);
        }
        catch (IOException)
        {
            // A file in it is still looked at by another program; the system clears its temporary folder.
        }
    }
}
