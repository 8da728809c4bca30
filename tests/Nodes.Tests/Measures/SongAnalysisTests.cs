using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures;
using RenderGraph.Nodes.Measures.Parts;
using RenderGraph.Nodes.Measures.Stems;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures;

public sealed class SongAnalysisTests
{
    private const int Rate = MeasuredSong.SampleRateHz;
    private static readonly double[] Beats = MeasuredSong.Beats(0.25, 0.5, 14);
    private static readonly Signal Line = MeasuredSong.Bass(8, 0.3, [.. Enumerable.Range(0, 16).Select(note => (note * 0.5, 0.42, 41.2 * Math.Pow(2, (note * 7 % 12) / 12.0)))]);

    [Fact]
    public void TheKickIsTheAnchorWhateverItsName()
    {
        using var analysis = Analyse(("stem 1", Line), ("stem 2", MeasuredSong.Kick(8, 52, 0.7, Beats)), ("stem 3", Signals.Sine(440, Rate, 8 * Rate, 0.2)));
        Assert.Equal([PartKind.Bass, PartKind.Kick, PartKind.Other], analysis.Guesses.Select(guess => guess.Kind));
        Assert.Equal(1, analysis.Anchor!.Stem);
        Assert.Equal(Beats.Length, analysis.Anchor.Hits.Count);
        Assert.Equal(52, analysis.Anchor.Dominant!.FrequencyHz, 1.0);
    }

    [Fact]
    public void WithoutDrumsABassIsTheAnchor()
    {
        using var analysis = Analyse(("bass", Line), ("voice", Signals.Sine(330, Rate, 8 * Rate, 0.3)));
        Assert.Equal(0, analysis.Anchor!.Stem);
    }

    [Fact]
    public void WithoutALowEndThereIsNoAnchor()
    {
        using var analysis = Analyse(("flute", Signals.Sine(880, Rate, 2 * Rate, 0.3)), ("voice", Signals.Sine(330, Rate, 2 * Rate, 0.3)));
        Assert.Null(analysis.Anchor);
        Assert.Null(analysis.Collisions);
    }

    [Fact]
    public void WhatThePersonSaidIsNotGuessedAnew()
    {
        var stems = MeasuredSong.Stems(Rate, ("bass", Line), ("kick", MeasuredSong.Kick(8, 52, 0.7, Beats)));
        using var analysis = SongAnalysis.Measure(stems, Rate, new(0, 61.5, [new(24000, 1)]), 2, default);
        Assert.Equal((0, true, 61.5, 1), (analysis.Anchor!.Stem, analysis.Anchor.IsTold, analysis.Anchor.Dominant!.FrequencyHz, analysis.Anchor.Hits.Count));
    }

    [Fact]
    public void HitsLieInTheSongsFramesWhereverTheStemBegins()
    {
        var stems = MeasuredSong.Stems(Rate, ("kick", MeasuredSong.Kick(3, 52, 0.7, [0.5, 1, 1.5])), ("bass", Line));
        foreach (var start in (long[])[30000, -20000])
        {
            using var analysis = SongAnalysis.Measure([stems[0] with { StartFrame = start }, stems[1]], Rate, new(0), 2, default);
            long[] expected = [.. ((double[])[0.5, 1, 1.5]).Select(time => (long)(time * Rate) + start).Where(frame => frame >= 0)];
            Assert.Equal(expected.Length, analysis.Anchor!.Hits.Count);
            Assert.All(expected.Zip(analysis.Anchor.Hits), pair => Assert.Equal(pair.First, pair.Second.Frame, 0.003 * Rate));
        }
    }

    [Fact]
    public void NothingSilenceOneStemManyStemsAndShortOnesAreAllAnswered()
    {
        using var none = Analyse();
        Assert.Null(none.Anchor);
        using var silence = Analyse(("one", Signals.Silence(Rate)), ("two", Signals.Silence(0)));
        Assert.Null(silence.Anchor);
        using var one = Analyse(("kick", MeasuredSong.Kick(3, 52, 0.7, [0.5, 1, 1.5, 2])));
        Assert.Equal(0, one.Anchor!.Stem);
        Assert.Null(one.Collisions!.ClearanceDb);
        using var shorts = Analyse(("kick", MeasuredSong.Kick(0.4, 52, 0.7, [0.1])), ("bass", Signals.Sine(50, Rate, Rate / 3, 0.5)), ("click", Signals.Impulse(9)));
        Assert.Equal(3, shorts.Map.Stems.Count);
        using var many = Analyse([.. Enumerable.Range(0, 48).Select(index => ($"stem{index}", index % 3 == 0 ? MeasuredSong.Kick(2, 45 + index, 0.3, [0.25, 0.75, 1.25]) : Signals.Noise(2 * Rate, index, 0.1, 1 + (index % 2))))]);
        Assert.Equal(48, many.Guesses.Count);
    }

    [Fact]
    public void AStemThatFailsIsToldAsItself()
    {
        var files = new MemoryAudioFiles
        {
            BeforeRead = (path, frame) =>
            {
                if (frame > 40000)
                    throw new StemException(RenderGraph.Graph.Diagnostics.DiagnosticCode.StemDamaged, path, "gone", "Bring it back");
            },
        };
        files.With("bass.wav", Signals.Noise(4 * Rate));
        var stem = new SongStem("bass", files.OpenStem(new("bass.wav"), (_, _, _, _) => { })!);
        Assert.Throws<StemException>(() => SongAnalysis.Measure([stem], Rate, new(), 2, default));
    }

    [Fact]
    public void AnInterruptionComesThrough()
    {
        using var interrupt = new CancellationTokenSource();
        interrupt.Cancel();
        Assert.ThrowsAny<OperationCanceledException>(() => SongAnalysis.Measure(MeasuredSong.Stems(Rate, ("bass", Line)), Rate, new(), 2, interrupt.Token));
    }

    private static SongAnalysis Analyse(params (string Name, Signal Samples)[] stems) => SongAnalysis.Measure(MeasuredSong.Stems(Rate, stems), Rate, new(), 2, default);
}
