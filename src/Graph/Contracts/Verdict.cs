namespace RenderGraph.Graph.Contracts;

/// <summary>Whether a treatment helped.</summary>
/// <param name="Kind">In a word.</param>
/// <param name="Reason">What decided it, in a sentence without its full stop.</param>
/// <param name="Rules">All that was asked.</param>
public sealed record Verdict(VerdictKind Kind, string Reason, IReadOnlyList<VerdictRule> Rules);

/// <summary>What a verdict says.</summary>
public enum VerdictKind
{
    /// <summary>Something that counts is better, and every guard rail held.</summary>
    Helped,

    /// <summary>Nothing that counts is better, or the anchor itself suffered.</summary>
    DidNotHelp,

    /// <summary>Something is better, but a guard rail did not hold.</summary>
    CostTooMuch,
}

/// <summary>One question of a verdict: a gain that would count, or a guard rail.</summary>
/// <param name="Name">What is measured, camelCase, its unit at the end.</param>
/// <param name="Kind">What the answer is for.</param>
/// <param name="Measured">The answer.</param>
/// <param name="AtLeast">It must not be less; null if it may be.</param>
/// <param name="AtMost">It must not be more; null if it may be.</param>
/// <param name="Words">What it is about, for a table.</param>
public sealed record VerdictRule(string Name, VerdictRuleKind Kind, Measurement Measured, double? AtLeast, double? AtMost, string Words)
{
    /// <summary>Whether the gain was had, or the guard rail held; null if it could not be measured.</summary>
    public bool? Holds => Measured.Value is { } value ? !(value < AtLeast) && !(value > AtMost) : null;
}

/// <summary>What a rule is for.</summary>
public enum VerdictRuleKind
{
    /// <summary>One of these is enough to have helped.</summary>
    Gain,

    /// <summary>What a treatment is for must not suffer from it: if it does, it did not help, whatever else is better.</summary>
    Purpose,

    /// <summary>What it may cost at most.</summary>
    Cost,
}
