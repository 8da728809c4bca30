using RenderGraph.Cli.Analysis;
using RenderGraph.Cli.Console;
using RenderGraph.Cli.Proposing;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes;
using RenderGraph.Nodes.AudioFiles;
using RenderGraph.Nodes.Measures;
using Xunit;

namespace RenderGraph.Cli.Tests.Proposing;

/// <summary>The decisions, with renders that answer as told.</summary>
public sealed class ProposerTests
{
    private static readonly TrialMeasures AsItIs = new(ClearanceDb: -2, OwnDbfs: -20, LowEndDbfs: -18, PeakDbfs: -1, SongPeakDbfs: -1, RumbleDbfs: -60);

    [Fact]
    public void WhatDoesNotHelpIsLeftOutAndTold()
    {
        var proposal = Propose(_ => AsItIs);
        Assert.Null(proposal.Graph);
        Assert.Empty(proposal.Treatments);
        Assert.Equal(
            [(TreatmentKind.Polarity, "under"), (TreatmentKind.KeyedCut, "bass")],
            proposal.Tried.Select(treatment => (treatment.Kind, Stems[treatment.Stem])));
        Assert.All(proposal.Tried, treatment => Assert.Equal("no change", treatment.Effect));
    }

    [Theory]
    [InlineData(0.5, 8)]
    [InlineData(1, 8)]
    [InlineData(1.5, 5.5)]
    [InlineData(4, 2)]
    [InlineData(20, 0.5)]
    public void TheDepthIsTheSmallestThatReachesTheClearance(double clearancePerDecibel, double depthDb)
    {
        // 8 dB of clearance are wanting; at 0.5 and 1 dB for each decibel of depth the cap comes first or just reaches it.
        var proposal = Propose(graph => AsItIs with { ClearanceDb = -2 + (clearancePerDecibel * DepthOf(graph)) });
        var cut = Assert.Single(proposal.Treatments);
        Assert.Equal((TreatmentKind.KeyedCut, depthDb), (cut.Kind, cut.Number));
        Assert.Equal(clearancePerDecibel == 0.5, proposal.Notes.Any(note => note.Contains("the most that is proposed", StringComparison.Ordinal)));
    }

    [Fact]
    public void EachStepIsHeldAgainstTheOneBefore()
    {
        var proposal = Propose(graph => AsItIs with
        {
            LowEndDbfs = AsItIs.LowEndDbfs + (graph.Treatments.Any(treatment => treatment.Kind == TreatmentKind.Polarity) ? 3 : 0),
            ClearanceDb = DepthOf(graph) > 0 ? 7 : -2,
        });
        Assert.Equal([TreatmentKind.Polarity, TreatmentKind.KeyedCut], proposal.Treatments.Select(treatment => treatment.Kind));
        Assert.Equal("low end +3.0 dB", proposal.Treatments[0].Effect);
        Assert.Equal("clearance +9.0 dB", proposal.Treatments[1].Effect);
        Assert.Equal(-2, proposal.Before!.ClearanceDb);
        Assert.Equal(7, proposal.After!.ClearanceDb);
    }

    [Fact]
    public void ASumPastFullScaleIsTakenDownToOneDecibelBelowIt()
    {
        var proposal = Propose(graph => AsItIs with { SongPeakDbfs = 1.7, ClearanceDb = DepthOf(graph) > 0 ? 7 : -2 });
        Assert.Equal(-3, proposal.Graph!.MixGainDb);
        Assert.Contains("\"gainDb\": -3", proposal.Graph.Write(), StringComparison.Ordinal);

        // Its gates are those of the sum as it is written.
        Assert.Contains("{ \"measure\": \"truePeakDbtp\", \"of\": \"mix\", \"atMost\": -1, \"why\": \"streaming encoders add up to a decibel\" }", proposal.Graph.Write(), StringComparison.Ordinal);
    }

    /// <summary>Each holds now, and half of what the clearance gained is room; what could not be measured has no gate.</summary>
    [Fact]
    public void GatesLeaveLessRoomThanTheTreatmentGave()
    {
        Assert.Equal(
            [("truePeakDbtp", null, -0.3), ("clearanceDb", 6.3, null), ("monoLossDb", -0.6, null), ("hitCount", 18.0, 22.0)],
            new ReachedMeasures(-0.44, 7.3, -2, -0.04, 20).Gates("mix", "kick", 0).Select(gate => (gate.Measure, gate.AtLeast, gate.AtMost)));
        Assert.Equal(7, new ReachedMeasures(null, 7.5, 6.5, null, null).Gates("mix", "kick", 0).Single().AtLeast);
        Assert.Equal(6.3, new ReachedMeasures(null, 7.3, null, null, null).Gates("mix", "kick", 0).Single().AtLeast);
        Assert.Empty(new ReachedMeasures(null, null, null, null, null).Gates("mix", "kick", 0));
    }

    private static readonly string[] Stems = ["bass", "kick", "under"];

    private static double DepthOf(ProposedGraph graph) => graph.Treatments.Where(treatment => treatment.Kind == TreatmentKind.KeyedCut).Select(treatment => treatment.Number).DefaultIfEmpty(0).Max();

    private static Proposal Propose(Func<ProposedGraph, TrialMeasures> render)
    {
        using var song = new TempFolder();
        WaveFile.Write(song["kick.wav"], PlayedSong.Kick(52, 0.4), encoding: SampleEncoding.Float32);
        WaveFile.Write(song["under.wav"], PlayedSong.Kick(52, -0.2), encoding: SampleEncoding.Float32);
        WaveFile.Write(song["bass.wav"], PlayedSong.Bass(0.25, 41.2, 49, 55, 46.2), encoding: SampleEncoding.Float32);
        var setting = new CommandSetting(new Terminal(TextWriter.Null, TextWriter.Null), BuiltInNodes.Catalog, new DiskAudioFiles(), CancellationToken.None);
        using var folder = StemFolder.Open(setting, song.Path, null, new DiagnosticList());
        var source = SongSource.OfFolder(folder);
        using var analysis = SongAnalysis.Measure(source.Stems, source.SampleRateHz, source.Told, 2, default);
        return new Proposer(folder, analysis, new(6, ""), render, _ => new(1.9, 7.3, -2, -0.04, 20)).Make();
    }
}
