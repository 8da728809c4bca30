using RenderGraph.Cli.Commands;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Runs;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Planning;
using RenderGraph.Nodes.Measures;
using RenderGraph.Nodes.Measures.Stems;

namespace RenderGraph.Cli.Analysis;

/// <summary>The song to be analysed: the stems of a graph as it takes them, before anything is done to them, or the audio files of a folder.</summary>
/// <param name="Title">The song's name, or the file's or folder's.</param>
/// <param name="TempoBpm">Beats a minute, if the graph says.</param>
/// <param name="Stems">Open; they belong to whoever opened them.</param>
/// <param name="Told">What the graph says about the anchor.</param>
internal sealed record SongSource(string Title, double? TempoBpm, int SampleRateHz, IReadOnlyList<SongStem> Stems, ToldAnchor Told)
{
    /// <summary>Opens a graph or a folder and runs <paramref name="use"/> on it; what cannot be used is told about instead.</summary>
    /// <param name="except">A file in the folder that is no stem.</param>
    /// <param name="anchor">The anchor's name, or null: what the graph says, or what is found.</param>
    /// <param name="use">Also given the findings so far; answers with the exit code.</param>
    public static int Use(CommandSetting setting, string path, string? except, string? anchor, bool asJson, bool allowOutside, Func<SongSource, DiagnosticList, int> use)
    {
        if (!Directory.Exists(path))
        {
            return OpenGraph.Use(setting, path, asJson, allowOutside, open =>
            {
                var source = OfGraph(open);
                return source.WithAnchor(anchor, open.Diagnostics) is { } with ? use(with, open.Diagnostics) : Refuse(open.Diagnostics);
            });
        }

        var diagnostics = new DiagnosticList();
        using var folder = StemFolder.Open(setting, path, except, diagnostics);
        diagnostics.WriteTo(setting.Terminal.Error);
        if (folder.Stems.Count > 0)
            return OfFolder(folder).WithAnchor(anchor, diagnostics) is { } source ? use(source, diagnostics) : Refuse(diagnostics);

        return Refuse(diagnostics, isTold: true);

        int Refuse(DiagnosticList faults, bool isTold = false)
        {
            if (!isTold)
                faults.WriteTo(setting.Terminal.Error);
            return OpenGraph.Refuse(setting.Terminal, faults, asJson);
        }
    }

    /// <summary>The stems of a folder as a song.</summary>
    public static SongSource OfFolder(StemFolder folder) =>
        new(folder.Title, null, folder.SampleRateHz, [.. folder.Stems.Select(stem => new SongStem(stem.Name, stem.Reader))], new());

    /// <summary>The same with this stem as the anchor; null, and a fault noted, if there is none of that name.</summary>
    public SongSource? WithAnchor(string? name, DiagnosticList diagnostics)
    {
        if (name is null)
            return this;
        var stem = Stems.ToList().FindIndex(stem => stem.Name == name);
        if (stem >= 0)
            return this with { Told = Told.Stem == stem ? Told : new(stem) };
        var near = NearestName.Of(name, Stems.Select(known => known.Name));
        diagnostics.Add(new(
            DiagnosticCode.UnknownName, "--anchor", default, $"there is no stem \"{name}\"",
            near is null ? $"The stems are {string.Join(", ", Stems.Select(known => known.Name))}" : $"Did you mean {near}?"));
        return null;
    }

    /// <summary>The stems of a graph as a song.</summary>
    public static SongSource OfGraph(OpenGraph open)
    {
        var (document, stems, rateHz) = (open.Loaded.Document, open.Loaded.Stems, open.Plan.SampleRateHz);
        var anchor = document.Stems.ToList().FindIndex(stem => stem.Id == document.Anchor?.Stem.Value);
        return new(
            open.Title, document.TempoBpm, rateHz,
            [.. document.Stems.Select(stem => new SongStem(stem.Id, stems.Readers[stem.Id], Planner.StartFrame(stem, rateHz), stem.Muted))],
            new(anchor < 0 ? null : anchor, document.Anchor?.ToldFrequencyHz, document.Anchor?.HitsFile is null ? null : document.Anchor.Measures?.Hits));
    }
}
