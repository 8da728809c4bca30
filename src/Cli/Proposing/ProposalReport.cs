using System.Text.Json;
using RenderGraph.Cli.Analysis;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.Measures;
using static System.FormattableString;

namespace RenderGraph.Cli.Proposing;

/// <summary>What there is to say about a proposal.</summary>
internal sealed class ProposalReport(SongSource source, SongAnalysis analysis, Proposal proposal, string graphPath, double clearanceDb)
{
    /// <summary>Writes tables and sentences.</summary>
    public void WriteText(Terminal terminal)
    {
        var (writer, width) = (terminal.Out, terminal.WidthColumns);
        writer.WriteLine($"{source.Title}: {Words.Stems(source.Stems.Count)}, {Say.Length(analysis.Map.LengthFrames, source.SampleRateHz)} at {Say.Whole(source.SampleRateHz)} Hz");
        writer.WriteLine();
        if (analysis.Anchor is { } anchor)
        {
            writer.WriteLine(Invariant(
                $"  anchor: {Name(anchor.Stem)}, {(anchor.IsTold ? "named by you" : Invariant($"found, confidence {anchor.StemConfidence:0.00}"))}; {anchor.Hits.Count} hits{(anchor.Dominant is { } at ? Invariant($" at {at.FrequencyHz:0.0} Hz, confidence {at.Confidence:0.00}") : "")}"));
        }

        if (proposal.Refusal is { } refusal)
            writer.WriteWrapped($"Nothing proposed: {refusal}.", width, indent: 2);
        else if (proposal.IsClean)
            writer.WriteWrapped(CleanSentence(), width, indent: 2);
        else
            WriteProposed(writer, width);

        if (proposal.Tried.Count > 0)
        {
            writer.WriteLine();
            writer.WriteLine("  tried, did not help");
            var tried = new TextTable("what", "stem", "rendered");
            foreach (var treatment in proposal.Tried)
                tried.Add(treatment.Words, Name(treatment.Stem), treatment.Effect ?? "");
            tried.WriteTo(writer, width);
        }

        if (proposal.Notes.Count > 0)
            writer.WriteLine();
        foreach (var note in proposal.Notes)
            writer.WriteMarked("- ", note, width, indent: 2);
        if (proposal.Graph is null)
            return;

        writer.WriteLine();
        writer.WriteLine($"  wrote {Say.Path(graphPath)}; next: rendergraph render {Say.Path(graphPath)}{(LiesOutside ? " --allow-outside" : "")}");
    }

    /// <summary>Writes one object.</summary>
    public void WriteJson(TextWriter writer, DiagnosticList diagnostics) => StrictJson.WriteObject(writer, json =>
    {
        json.WriteBoolean("ok", true);
        json.WriteString("title", source.Title);
        json.WriteText("graph", proposal.Graph is null ? null : graphPath);
        json.WriteBoolean("alreadyClean", proposal.IsClean);
        json.WriteText("refusal", proposal.Refusal);
        json.WriteText("anchorStem", analysis.Anchor is { } anchor ? Name(anchor.Stem) : null);
        json.WriteFinite("anchorFrequencyHz", analysis.Anchor?.Dominant?.FrequencyHz);
        json.WriteFinite("wantedClearanceDb", clearanceDb);
        WriteMeasures(json, "before", proposal.Before);
        WriteMeasures(json, "after", proposal.After);
        json.WriteFinite("peakSavedDb", proposal is { Before: { } before, After: { } after } ? Math.Round(before.PeakDbfs - after.PeakDbfs, 4) : null);
        json.WriteObjects("proposed", proposal.Treatments, treatment => WriteTreatment(json, treatment));
        json.WriteObjects("tried", proposal.Tried, treatment => WriteTreatment(json, treatment));
        json.WriteStartArray("notes");
        foreach (var note in proposal.Notes)
            json.WriteStringValue(note);
        json.WriteEndArray();
        json.WriteFindings(diagnostics);
    });

    private void WriteProposed(TextWriter writer, int width)
    {
        writer.WriteLine();
        var table = new TextTable("proposed", "stem", "because");
        foreach (var treatment in proposal.Treatments)
            table.Add(treatment.Words, Name(treatment.Stem), treatment.Reason);
        table.WriteTo(writer, width);

        var (before, after) = (proposal.Before!, proposal.After!);
        writer.WriteLine();
        var change = new TextTable("at the anchor's hits, rendered", ">as it is", ">proposed", ">change");
        Add("clearance of the anchor in its own band", before.ClearanceDb, after.ClearanceDb, "dB");
        Add("low end, 20 to 300 Hz", before.LowEndDbfs, after.LowEndDbfs, "dBFS");
        Add("peak of the mix", before.PeakDbfs, after.PeakDbfs, "dBFS");
        change.WriteTo(writer, width);
        if (proposal.Graph!.MixGainDb != 0)
            writer.WriteWrapped(Invariant($"The sum would reach {Say.Decimal(after.SongPeakDbfs)} dBFS; the graph takes {-proposal.Graph.MixGainDb:0.#} dB off it and the monitor alike."), width, indent: 2);

        void Add(string what, double from, double to, string unit) => change.Add(
            what, Level(from, unit), Level(to, unit), from >= TrialMeasures.Free || to >= TrialMeasures.Free ? "-" : $"{(to - from >= 0.05 ? "+" : "")}{Say.Decimal(to - from)} dB");
    }

    // Stems that do not lie within the graph's folder are only read if told so.
    private bool LiesOutside => proposal.Graph!.StemsFolder is var folder && (folder.StartsWith("..", StringComparison.Ordinal) || Path.IsPathRooted(folder));

    private string CleanSentence()
    {
        var clearance = proposal.After?.ClearanceDb ?? analysis.Collisions?.ClearanceDb;
        return "Already clean, nothing proposed: " + (clearance is { } db and < TrialMeasures.Free
            ? Invariant($"at half of its hits {Name(analysis.Anchor!.Stem)} stands {Say.Decimal(db)} dB or more above everything else in its own band{(db >= clearanceDb ? "" : ", and nothing that was tried gets it further")}.")
            : $"nobody else is in the low end at the hits of {Name(analysis.Anchor!.Stem)}.");
    }

    private string Name(int stem) => analysis.Map.Stems[stem].Name;

    private static string Level(double level, string unit) => level >= TrialMeasures.Free ? "free" : $"{Say.Decimal(level)} {unit}";

    private static void WriteMeasures(Utf8JsonWriter json, string name, TrialMeasures? measures)
    {
        if (measures is null)
        {
            json.WriteNull(name);
            return;
        }

        json.WriteStartObject(name);
        json.WriteFinite("clearanceDb", measures.ClearanceDb >= TrialMeasures.Free ? null : Math.Round(measures.ClearanceDb, 4));
        json.WriteFinite("lowEndDbfs", Math.Round(measures.LowEndDbfs, 4));
        json.WriteFinite("peakDbfs", Math.Round(measures.PeakDbfs, 4));
        json.WriteFinite("songPeakDbfs", Math.Round(measures.SongPeakDbfs, 4));
        json.WriteEndObject();
    }

    private void WriteTreatment(Utf8JsonWriter json, Treatment treatment)
    {
        json.WriteString("stem", Name(treatment.Stem));
        json.WriteString("kind", JsonNamingPolicy.CamelCase.ConvertName(treatment.Kind.ToString()));
        json.WriteFinite("number", treatment.Kind is TreatmentKind.Mute or TreatmentKind.Polarity ? null : treatment.Number);
        json.WriteString("words", treatment.Words);
        json.WriteString("reason", treatment.Reason);
        json.WriteText("effect", treatment.Effect);
    }
}
