using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Comparing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Comparing;

public sealed class VerdictRulesTests
{
    private static readonly Dictionary<string, double> Better = new(StringComparer.Ordinal)
    {
        [SongComparer.ResidueAtBestGain] = -6, [SongComparer.ClearanceChange] = 3, [SongComparer.SummationChange] = 0, [SongComparer.PeakSaved] = 0.2, [SongComparer.AnchorChange] = 0,
        [SongComparer.PartChange] = -1, [SongComparer.LowEndChange] = -1, [SongComparer.MonoLossChange] = 0,
    };

    /// <summary>Every guard rail, just inside and just outside.</summary>
    [Theory]
    [InlineData(SongComparer.AnchorChange, -VerdictRules.MostAnchorLossDb, VerdictKind.DidNotHelp)]
    [InlineData(SongComparer.PartChange, -VerdictRules.MostPartLossLu, VerdictKind.CostTooMuch)]
    [InlineData(SongComparer.LowEndChange, -VerdictRules.MostLowEndLossDb, VerdictKind.CostTooMuch)]
    [InlineData(SongComparer.PeakSaved, -VerdictRules.PeakStepDb, VerdictKind.CostTooMuch)]
    [InlineData(SongComparer.MonoLossChange, -VerdictRules.MostMonoLossDb, VerdictKind.CostTooMuch)]
    public void AGuardRailHoldsUpToItsLimitAndDecidesPastIt(string name, double limit, VerdictKind past)
    {
        Assert.Equal(VerdictKind.Helped, Judge((name, limit)).Kind);
        var verdict = Judge((name, limit - 0.1));
        Assert.Equal(past, verdict.Kind);
        Assert.Contains((0.1 - limit).ToString("0.0", System.Globalization.CultureInfo.InvariantCulture), verdict.Reason, StringComparison.Ordinal);
        Assert.Contains(verdict.Rules, rule => rule.Name == name && rule.Holds == false);
    }

    [Theory]
    [InlineData(SongComparer.ClearanceChange, VerdictRules.LeastGainDb)]
    [InlineData(SongComparer.SummationChange, VerdictRules.LeastGainDb)]
    [InlineData(SongComparer.PeakSaved, VerdictRules.PeakStepDb)]
    public void OneGainIsEnoughAndWithoutOneItDidNotHelp(string name, double limit)
    {
        Assert.Equal(VerdictKind.Helped, Judge((SongComparer.ClearanceChange, 0), (name, limit)).Kind);
        var verdict = Judge((SongComparer.ClearanceChange, 0), (name, limit - 0.01));
        Assert.Equal((VerdictKind.DidNotHelp, "nothing that counts is better by enough"), (verdict.Kind, verdict.Reason));
    }

    [Fact]
    public void AnAnchorThatIsLessClearWasNotHelpedWhateverElseIsBetter()
    {
        var verdict = Judge((SongComparer.ClearanceChange, -1.1), (SongComparer.PeakSaved, 4));
        Assert.Equal((VerdictKind.DidNotHelp, "the anchor stands 1.1 dB less above all else, and 1.0 is the most"), (verdict.Kind, verdict.Reason));
    }

    [Fact]
    public void WhereOnlyTheLevelDiffersNothingHasChanged() =>
        Assert.Equal((VerdictKind.DidNotHelp, "nothing has changed"), (Judge((SongComparer.ResidueAtBestGain, -130)).Kind, Judge((SongComparer.ResidueAtBestGain, -130)).Reason));

    [Fact]
    public void WhatCannotBeMeasuredDecidesNothing()
    {
        var verdict = VerdictRules.Judge(name => name == SongComparer.PeakSaved ? new(name, 0.7) : Measurement.None(name, "no stems"), worstPart: null);
        Assert.Equal(VerdictKind.Helped, verdict.Kind);
        Assert.Equal("nothing that counts can be measured", VerdictRules.Judge(name => Measurement.None(name, "silent"), worstPart: null).Reason);
    }

    [Fact]
    public void NamesThePartThatLostMost() => Assert.Equal("\"sub\" is 4.0 LU softer to the ear, and 3.0 is the most", Judge((SongComparer.PartChange, -4)).Reason);

    private static Verdict Judge(params (string Name, double Value)[] other)
    {
        var measured = new Dictionary<string, double>(Better, StringComparer.Ordinal);
        foreach (var (name, value) in other)
            measured[name] = value;
        return VerdictRules.Judge(name => new(name, measured[name]), "sub");
    }
}
