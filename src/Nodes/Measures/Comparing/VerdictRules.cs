using System.Globalization;
using RenderGraph.Graph.Contracts;

namespace RenderGraph.Nodes.Measures.Comparing;

/// <summary>When a treatment helped, when it did not, and when it cost too much. All levels are compared at equal loudness, so that nothing is better for being louder.</summary>
public static class VerdictRules
{
    /// <summary>A clearance, or a sum, that is so much better can be heard: a difference of 1 dB in one band is about what the ear just notices (Zwicker and Fastl, Psychoacoustics, chapter 7; from memory).</summary>
    public const double LeastGainDb = 1;

    /// <summary>So much less peak is worth having, and so much more is a cost: common practice, no source.</summary>
    public const double PeakStepDb = 0.5;

    /// <summary>The anchor may lose no more of its low end against the song: half of what is heard; common practice, no source.</summary>
    public const double MostAnchorLossDb = 0.5;

    /// <summary>A low part may become no softer to the ear: 3 LU is half its power; common practice, no source.</summary>
    public const double MostPartLossLu = 3;

    /// <summary>All of the low end may lose no more than half its power: common practice, no source.</summary>
    public const double MostLowEndLossDb = 3;

    /// <summary>In mono the low end may lose no more than before, but for what is just heard: as <see cref="LeastGainDb"/>.</summary>
    public const double MostMonoLossDb = 1;

    /// <summary>Where less than this is left, nothing has changed but the level: 16 bits hold no more than 98 dB.</summary>
    public const double NothingChangedDb = -100;

    /// <summary>Judges.</summary>
    /// <param name="measured">By the names of the rules; what is missing is not measurable for that reason.</param>
    /// <param name="worstPart">The low part that lost most; null if there is none.</param>
    public static Verdict Judge(Func<string, Measurement> measured, string? worstPart)
    {
        ArgumentNullException.ThrowIfNull(measured);
        var part = worstPart is null ? "a low part" : $"\"{worstPart}\"";
        (VerdictRule Rule, Func<double, string> Met, Func<double, string> Broken)[] questions =
        [
            Gain(SongComparer.ClearanceChange, LeastGainDb, "anchor above all else", db => $"the anchor stands {Number(db)} dB further above all else"),
            Gain(SongComparer.SummationChange, LeastGainDb, "anchor and rest together", db => $"anchor and rest add up to {Number(db)} dB more"),
            Gain(SongComparer.PeakSaved, PeakStepDb, "peak saved", db => $"the peak is {Number(db)} dB lower at equal loudness"),
            Guard(SongComparer.AnchorChange, VerdictRuleKind.Purpose, MostAnchorLossDb, "the anchor's low end", db => $"the anchor itself has {Number(db)} dB less low end in its song"),
            Guard(SongComparer.ClearanceChange, VerdictRuleKind.Purpose, LeastGainDb, "anchor no less clear", db => $"the anchor stands {Number(db)} dB less above all else"),
            Guard(SongComparer.PartChange, VerdictRuleKind.Cost, MostPartLossLu, $"low parts to the ear{(worstPart is null ? "" : ", at worst " + worstPart)}", lu => $"{part} is {Number(lu)} LU softer to the ear"),
            Guard(SongComparer.LowEndChange, VerdictRuleKind.Cost, MostLowEndLossDb, "all of the low end", db => $"the whole low end is {Number(db)} dB softer at equal loudness"),
            Guard(SongComparer.PeakSaved, VerdictRuleKind.Cost, PeakStepDb, "peak not higher", db => $"the peak is {Number(db)} dB higher at equal loudness"),
            Guard(SongComparer.MonoLossChange, VerdictRuleKind.Cost, MostMonoLossDb, "low end in mono", db => $"mono takes {Number(db)} dB more of the low end"),
        ];
        IReadOnlyList<VerdictRule> rules = [.. questions.Select(question => question.Rule)];

        if (measured(SongComparer.ResidueAtBestGain).Value is <= NothingChangedDb)
            return new(VerdictKind.DidNotHelp, "nothing has changed", rules);
        if (Broken(VerdictRuleKind.Purpose) is { } purpose)
            return new(VerdictKind.DidNotHelp, purpose, rules);
        var gained = questions.Where(question => question.Rule is { Kind: VerdictRuleKind.Gain, Holds: true }).Select(question => question.Met(question.Rule.Measured.Value!.Value)).ToList();
        if (gained.Count == 0)
        {
            return new(VerdictKind.DidNotHelp, rules.Any(rule => rule is { Kind: VerdictRuleKind.Gain, Holds: not null })
                ? "nothing that counts is better by enough" : "nothing that counts can be measured", rules);
        }

        return Broken(VerdictRuleKind.Cost) is { } cost ? new(VerdictKind.CostTooMuch, cost, rules) : new(VerdictKind.Helped, string.Join(", ", gained), rules);

        (VerdictRule, Func<double, string>, Func<double, string>) Gain(string name, double atLeast, string words, Func<double, string> met) =>
            (new(name, VerdictRuleKind.Gain, measured(name), atLeast, null, words), met, _ => "");

        (VerdictRule, Func<double, string>, Func<double, string>) Guard(string name, VerdictRuleKind kind, double most, string words, Func<double, string> broken) =>
            (new(name, kind, measured(name), -most, null, words), _ => "", value => $"{broken(-value)}, and {Number(most)} is the most");

        string? Broken(VerdictRuleKind kind) => string.Join("; ", questions
            .Where(question => question.Rule.Kind == kind && question.Rule.Holds == false).Select(question => question.Broken(question.Rule.Measured.Value!.Value))) is { Length: > 0 } all ? all : null;
    }

    private static string Number(double value) => value.ToString("0.0", CultureInfo.InvariantCulture);
}
