using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Document;
using RenderGraph.Graph.Planning;
using RenderGraph.Graph.Validation;
using RenderGraph.Nodes.Measures.Comparing;

namespace RenderGraph.Cli.Runs;

/// <summary>A graph that has been read, checked against its stems and planned: what <c>render</c>, <c>check</c> and <c>plan</c> begin with.</summary>
/// <param name="Diagnostics">Only warnings, if there is a graph.</param>
internal sealed record OpenGraph(LoadedGraph Loaded, RenderPlan Plan, DiagnosticList Diagnostics) : IDisposable
{
    /// <summary>How much of a song is heard for a verdict beside its render, which must cost next to nothing however long the song is.</summary>
    public const double MostJudgedSeconds = 24;

    /// <summary>Opens the graph of a run; null, after the faults are noted, if it has any.</summary>
    /// <param name="anchor">Asked for what the graph wants measured.</param>
    public static OpenGraph? Open(RunOrder order, GraphDocument document, IAnchorMeasuring anchor, RunSetting setting, DiagnosticList diagnostics)
    {
        document = Judged(document, order);
        var loaded = LoadedGraph.Load(document, order.Graph.Place, order.OutFolder, order.Only, setting.Files, anchor, diagnostics, order.PartName, order.AllowOutside);
        return loaded is null ? null : new(loaded, PlanOf(loaded, loaded.Document), diagnostics);
    }

    private static GraphDocument Judged(GraphDocument document, RunOrder order) =>
        order.Judging != Judging.None && order is { IsWhole: true, Only: null } && ComparedSong.OutputOf(document) is { } output
            ? document with { Compared = new(output, () => new SongComparer()) { IsAlone = order.Judging == Judging.Alone, MostSeconds = order.Judging == Judging.Alone ? null : MostJudgedSeconds } }
            : document;

    /// <summary>Opens a graph to look at it and runs <paramref name="use"/> on it; a faulty one is told about instead.</summary>
    /// <param name="asRendered">Whether the anchor is where its lock has it, as a render would; else it is listened to.</param>
    public static int Use(CommandSetting setting, string graphPath, bool asJson, bool allowOutside, Func<OpenGraph, int> use, bool asRendered = false)
    {
        var diagnostics = new DiagnosticList();
        var order = new RunOrder(GraphSource.OfFile(graphPath), OutFolder: null) { AllowOutside = allowOutside, Judging = Judging.None, LockPath = asRendered ? GraphSource.LockPathOf(graphPath) : null };
        using var open = order.Graph.Read(setting.Catalog, diagnostics) is { } document ? Open(order, document, RunLock.AnchorOf(order, document, setting), setting, diagnostics) : null;
        diagnostics.WriteTo(setting.Terminal.Error);
        if (open is not null)
            return use(open);
        return Refuse(setting.Terminal, diagnostics, asJson);
    }

    /// <summary>The plan of a graph that has been loaded, or of a variation on it.</summary>
    public static RenderPlan PlanOf(LoadedGraph loaded, GraphDocument document) =>
        Planner.Plan(document, loaded.Stems.Formats, loaded.SampleRateHz);

    /// <summary>Ends a command that did nothing: says so if JSON is wanted. Its findings have been told.</summary>
    /// <returns>The exit code.</returns>
    public static int Refuse(Terminal terminal, DiagnosticList diagnostics, bool asJson)
    {
        if (asJson)
            WriteRefusal(terminal, diagnostics);
        return ExitCode.Of(diagnostics);
    }

    /// <summary>What there is to say in JSON when nothing was done.</summary>
    public static void WriteRefusal(Terminal terminal, DiagnosticList diagnostics) =>
        StrictJson.WriteObject(terminal.Out, json =>
        {
            json.WriteBoolean("ok", false);
            json.WriteFindings(diagnostics);
        });

    /// <summary>The latest path's: how far the engine's work lies behind the stems before outputs are moved back to the song's start.</summary>
    public int LatencyFrames => Plan.Writes.Select(write => write.LatencyFrames).DefaultIfEmpty(0).Max();

    /// <summary>The song's name, or the graph's file.</summary>
    public string Title => Loaded.Document.Title ?? Path.GetFileName(Loaded.Document.File);

    /// <summary>Closes the stems.</summary>
    public void Dispose() => Loaded.Dispose();
}
