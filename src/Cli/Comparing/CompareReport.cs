using System.Globalization;
using System.Text.Json;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.Measures.Comparing;

namespace RenderGraph.Cli.Comparing;

/// <summary>What comparisons found, as text and as JSON.</summary>
internal static class CompareReport
{
    private static readonly (string Words, string Unit, string[] Measures, bool IsLevel)[] Rows =
    [
        ("loudness", "LUFS", ["integratedLufs"], true),
        ("true peak", "dBTP", ["truePeakDbtp"], true),
        ("peak to loudness (PLR)", "dB", ["peakToLoudnessDb"], false),
        ("can be limited to", "LUFS", ["limitedLufs"], false),
        ("20-30 Hz", "dBFS", ["level20To30Dbfs"], true),
        ("30-60 Hz", "dBFS", ["level30To60Dbfs"], true),
        ("60-120 Hz", "dBFS", ["level60To120Dbfs"], true),
        ("120-300 Hz", "dBFS", ["level120To300Dbfs"], true),
        ("above 300 Hz", "dBFS", ["levelAbove300Dbfs"], true),
        ("20-300 Hz lost in mono", "dB", ["monoLossDb"], false),
        ("anchor above all else", "dB", ["clearanceDb"], false),
        ("anchor covered (0 to 1)", "", ["overlap"], false),
        ("anchor and rest add up to", "dB", ["summationGainDb"], false),
        ("steadiness of their phase", "", ["phaseConsistency"], false),
    ];

    public static void WriteText(Terminal terminal, IReadOnlyList<Comparison> comparisons)
    {
        for (var index = 0; index < comparisons.Count; index++)
        {
            if (index > 0)
                terminal.Out.WriteLine();
            WriteText(terminal.Out, terminal.WidthColumns, comparisons[index]);
        }
    }

    public static void WriteJson(Terminal terminal, IReadOnlyList<Comparison> comparisons, DiagnosticList diagnostics) =>
        StrictJson.WriteObject(terminal.Out, json =>
        {
            json.WriteBoolean("ok", !diagnostics.HasErrors);
            json.WriteObjects("comparisons", comparisons, comparison =>
            {
                json.WriteString("before", comparison.Before);
                json.WriteString("after", comparison.After);
                json.WriteNumber("sampleRateHz", comparison.SampleRateHz);
                json.WriteNumber("heardFrames", comparison.HeardFrames);
                json.WriteFinite("shiftFrames", comparison.ShiftFrames);
                WriteChange(json, comparison.Change);
                json.WriteStartArray("notes");
                foreach (var note in comparison.Notes)
                    json.WriteStringValue(note);
                json.WriteEndArray();
            });
            json.WriteFindings(diagnostics);
        });

    /// <summary>The measures and the verdict, as members of an object.</summary>
    public static void WriteChange(Utf8JsonWriter json, SongChange change)
    {
        json.WriteStartObject("measures");
        foreach (var (before, after) in change.Before.Zip(change.After))
        {
            json.WriteStartObject(before.Name);
            json.WriteRounded("before", before.Value);
            json.WriteRounded("after", after.Value);
            json.WriteText("notMeasurable", before.Reason ?? after.Reason);
            json.WriteEndObject();
        }

        json.WriteEndObject();
        json.WriteStartObject("between");
        foreach (var measurement in change.Between)
            json.WriteRounded(measurement.Name, measurement.Value);
        json.WriteEndObject();
        json.WriteObjects("parts", change.Parts, part =>
        {
            json.WriteString("name", part.Part);
            json.WriteRounded("changeLu", part.ChangeLu.Value);
            json.WriteBoolean("isLow", part.IsLow);
            json.WriteText("notMeasurable", part.ChangeLu.Reason);
        });
        WriteVerdict(json, change.Verdict);
    }

    /// <summary>The verdict as a member.</summary>
    public static void WriteVerdict(Utf8JsonWriter json, Verdict verdict)
    {
        json.WriteStartObject("verdict");
        json.WriteString("kind", verdict.Kind switch { VerdictKind.Helped => "helped", VerdictKind.CostTooMuch => "costTooMuch", _ => "didNotHelp" });
        json.WriteString("reason", verdict.Reason);
        json.WriteObjects("rules", verdict.Rules, rule =>
        {
            json.WriteString("measure", rule.Name);
            json.WriteString("kind", rule.Kind.ToString().ToLowerInvariant());
            json.WriteString("about", rule.Words);
            json.WriteRounded("value", rule.Measured.Value);
            json.WriteFinite("atLeast", rule.AtLeast);
            json.WriteText("state", rule.Holds switch { true => "holds", false => "fails", _ => "notMeasurable" });
            json.WriteText("notMeasurable", rule.Measured.Reason);
        });
        json.WriteEndObject();
    }

    /// <summary>The verdict in words.</summary>
    public static string Words(VerdictKind kind) => kind switch { VerdictKind.Helped => "helped", VerdictKind.CostTooMuch => "cost too much", _ => "did not help" };

    /// <summary>What was asked besides, in a line.</summary>
    public static string Guards(Verdict verdict)
    {
        var gained = verdict.Rules.Where(rule => rule is { Kind: VerdictRuleKind.Gain, Holds: true }).Select(rule => rule.Name).ToList();
        var guards = verdict.Rules.Where(rule => rule is { Kind: not VerdictRuleKind.Gain, Holds: not null } && !gained.Contains(rule.Name)).ToList();
        return $"Guard rails: {string.Join(", ", guards.Select(rule => $"{rule.Words} {Signed(rule.Measured.Value!.Value)}{(rule.Holds == false ? " (broken)" : "")}"))}.";
    }

    /// <summary>The verdict and every rule, with value and limit.</summary>
    public static void WriteVerdict(TextWriter writer, int widthColumns, Verdict verdict)
    {
        writer.WriteWrapped($"verdict: {Words(verdict.Kind)}: {verdict.Reason}", widthColumns, indent: 2);
        writer.WriteLine();
        var rules = new TextTable("", "", ">is", ">at least");
        foreach (var rule in verdict.Rules)
        {
            var unit = rule.Name.EndsWith("Lu", StringComparison.Ordinal) ? "LU" : "dB";
            rules.Add(
                rule.Holds switch { null => "not measurable", true when rule.Kind == VerdictRuleKind.Gain => "gained", false when rule.Kind == VerdictRuleKind.Gain => "not gained", true => "held", _ => "BROKEN" },
                rule.Words, rule.Measured.Value is { } value ? $"{Signed(value)} {unit}" : "-", $"{Signed(rule.AtLeast!.Value)} {unit}");
        }

        rules.WriteTo(writer, widthColumns);
        if (verdict.Rules.Any(rule => rule.Holds is null))
        {
            writer.WriteLine();
            writer.WriteWrapped("What could not be measured was left out, so the verdict says less than it could.", widthColumns, indent: 2);
        }
    }

    private static void WriteText(TextWriter writer, int width, Comparison comparison)
    {
        var change = comparison.Change;
        writer.WriteWrapped($"{comparison.Before} (before) against {comparison.After} (after), {Say.Length(comparison.HeardFrames, comparison.SampleRateHz)}", width);
        writer.WriteLine();
        if (comparison.ShiftFrames is { } shift)
        {
            writer.WriteWrapped(shift == 0
                ? "The two are in step."
                : $"The second plays everything {Say.Latency((int)Math.Abs(shift), comparison.SampleRateHz)} {(shift > 0 ? "later" : "earlier")}; that is taken out.", width, indent: 2);
        }

        var match = Between(change, SongComparer.LoudnessMatch);
        writer.WriteWrapped(match.Value is { } gain
            ? $"To be equally loud, the second is given {Signed(gain)} dB."
            : $"They cannot be brought to one loudness: {match.Reason}.", width, indent: 2);
        foreach (var note in comparison.Notes)
            writer.WriteWrapped(note, width, indent: 2);
        writer.WriteLine();

        var table = new TextTable("", ">before", ">after", ">change", ">at equal loudness", "unit");
        var missing = new List<(string Words, string Reason)>();
        foreach (var (words, unit, measures, isLevel) in Rows)
        {
            var (before, after) = (change.Before.First(found => found.Name == measures[0]), change.After.First(found => found.Name == measures[0]));
            if ((before.Reason ?? after.Reason) is { } reason)
                missing.Add((words, (before.Reason is null ? "after, " : after.Reason is null ? "before, " : "") + reason));
            if (before.Value is null && after.Value is null)
                continue;
            var difference = after.Value - before.Value;
            table.Add(words, Cell(before.Value), Cell(after.Value), difference is { } by ? Signed(by) : "-", isLevel && difference + match.Value is { } equal ? Signed(equal) : "", unit);
        }

        table.WriteTo(writer, width);
        writer.WriteLine();

        var between = new TextTable("", ">");
        AddBetween(SongComparer.ResidueAsIs, "left when one is taken from the other, as they are", "dB");
        AddBetween(SongComparer.ResidueAtBestGain, "the same at the best gain", "dB");
        AddBetween(SongComparer.BestGain, "that gain", "dB");
        AddBetween(SongComparer.PeakSaved, "peak saved at equal loudness", "dB");
        AddBetween(SongComparer.AnchorResidue, "the anchor: left when it is taken as it was, at the best gain", "dB");
        AddBetween(SongComparer.AnchorChange, "the anchor's low end in its song, at equal loudness", "dB");
        between.WriteTo(writer, width);

        if (change.Parts.Count > 0)
        {
            writer.WriteLine();
            var parts = new TextTable("part", ">to the ear", ">at equal loudness", "");
            foreach (var part in change.Parts.OrderBy(part => part.ChangeLu.Value ?? 0))
            {
                parts.Add(
                    part.Part, part.ChangeLu.Value is { } by ? Signed(by) + " LU" : part.ChangeLu.Reason!, part.ChangeLu.Value + (match.Value ?? 0) is { } equal ? Signed(equal) + " LU" : "-",
                    part.IsLow ? "a low part" : "");
            }

            parts.WriteTo(writer, width);
        }

        if (missing.Count > 0)
            writer.WriteLine();
        foreach (var alike in missing.GroupBy(row => row.Reason))
            writer.WriteWrapped($"not measurable: {string.Join(", ", alike.Select(row => row.Words))}: {alike.Key}.", width, indent: 2);
        writer.WriteLine();
        WriteVerdict(writer, width, change.Verdict);

        void AddBetween(string name, string words, string unit)
        {
            var measurement = Between(change, name);
            if (measurement.Value is { } value)
                between.Add(words, value <= SongComparer.NothingLeftDb ? "nothing" : $"{Signed(value)} {unit}");
            else
                missing.Add((words, measurement.Reason!));
        }
    }

    private static Measurement Between(SongChange change, string name) => change.Between.First(measurement => measurement.Name == name);

    private static string Cell(double? value) => value is not { } number ? "-" : number.ToString("0.0#", CultureInfo.InvariantCulture) is "-0.0" ? "0.0" : number.ToString("0.0#", CultureInfo.InvariantCulture);

    private static string Signed(double value)
    {
        var text = value.ToString("+0.0;-0.0;0.0", CultureInfo.InvariantCulture);
        return text is "+0.0" or "-0.0" ? "0.0" : text;
    }
}
