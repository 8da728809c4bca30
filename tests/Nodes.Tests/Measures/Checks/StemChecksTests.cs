using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Checks;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Nodes.Measures.Stems;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Checks;

public sealed class StemChecksTests
{
    private const int Rate = MeasuredSong.SampleRateHz;

    [Fact]
    public void StemsInOrderGiveNoFinding() =>
        Assert.Empty(Check(("bass", Signals.Sine(55, Rate, 3 * Rate, 0.5)), ("kick", MeasuredSong.Kick(3, 52, 0.7, [0.5, 1, 1.5]))));

    [Fact]
    public void ASilentStemIsFound() => Assert.Equal((CheckKind.Silent, 1), Only(Check(("bass", Bass()), ("empty", Signals.Silence(3 * Rate)))));

    [Fact]
    public void ClippedPlacesAreCountedAndTheFirstIsNamed()
    {
        // Crests of a sine driven 6 dB past full scale and cut: 2 x 60 a second.
        var clipped = Signals.Fill(1, 3 * Rate, (_, frame) => Math.Clamp(2 * Math.Sin(2 * Math.PI * 60 * frame / Rate), -1, 1));
        var check = Assert.Single(Check(("bass", Bass()), ("clipped", clipped)));
        Assert.Equal((CheckKind.Clipped, 1, 360), (check.Kind, check.Stem, check.Value));
        Assert.Equal(Rate / 60.0 / 12, check.Frame!.Value, 2.0);
    }

    [Fact]
    public void ASingleFullScalePeakIsNotClipped()
    {
        var normalised = Signals.Sine(60, Rate, 3 * Rate, 1, 0.3);
        Assert.Empty(Check(("bass", normalised)));
    }

    [Fact]
    public void OffsetRumbleAndCancellingSidesAreFound()
    {
        var sine = Signals.Sine(60, Rate, 3 * Rate, 0.3);
        var checks = Check(
            ("offset", Signals.Fill(1, 3 * Rate, (_, frame) => 0.01 + sine[0][frame])), ("rumble", MeasuredSong.Sum(sine, Signals.Sine(11, Rate, 3 * Rate, 0.2))),
            ("inverted", Signals.Stereo(sine, MeasuredSong.Scaled(sine, -1))));
        Assert.Equal([(CheckKind.Dc, 0), (CheckKind.Subsonic, 1), (CheckKind.SidesCancel, 2)], checks.Select(check => (check.Kind, check.Stem)));
        Assert.Equal(-40, checks[0].Value, 0.1);
        Assert.Equal(20 * Math.Log10(2.0 / 3), checks[1].Value, 0.3);
    }

    [Fact]
    public void TheSameSamplesTwiceAreADuplicateAndOtherLevelsAreNot()
    {
        var checks = Check(("one", Bass()), ("louder", MeasuredSong.Scaled(Bass(), 1.1)), ("again", Bass()));
        var check = Assert.Single(checks);
        Assert.Equal((CheckKind.Duplicate, 2, 0), (check.Kind, check.Stem, check.Other));
    }

    [Fact]
    public void AStemThatIsShorterThanTheOthersIsNamed()
    {
        var check = Assert.Single(Check(("one", Bass()), ("two", Signals.Sine(80, Rate, 3 * Rate, 0.4)), ("short", Signals.Sine(70, Rate, 2 * Rate, 0.4))));
        Assert.Equal((CheckKind.Length, 2, -1.0), (check.Kind, check.Stem, check.Value));
    }

    [Fact]
    public void AStemThatItsRecorderPlacesElsewhereIsNamed()
    {
        var stems = MeasuredSong.Stems(Rate, ("one", Bass()), ("later", Signals.Sine(80, Rate, 3 * Rate, 0.4)), ("without", Signals.Sine(70, Rate, 3 * Rate, 0.4)));
        SongStem At(int stem, long frames, long start) => new(stems[stem].Name, new Dated(stems[stem].Reader, frames), start);
        using var map = LowEndMap.Measure([At(0, 1_000_000, 0), At(1, 1_000_000 + (2 * Rate), 0), stems[2]], Rate, 2, default);
        var check = Assert.Single(StemChecks.Of(map));
        Assert.Equal((CheckKind.Start, 1, 2.0), (check.Kind, check.Stem, check.Value));

        using var placed = LowEndMap.Measure([At(0, 1_000_000, 0), At(1, 1_000_000 + (2 * Rate), 2 * Rate)], Rate, 2, default);
        Assert.DoesNotContain(StemChecks.Of(placed), found => found.Kind == CheckKind.Start);
    }

    [Fact]
    public void ABassThatIsDuckedAlreadyIsFoundAndAPlainOneIsNot()
    {
        var beats = MeasuredSong.Beats(0.5, 0.5, 12);
        var held = Signals.Sine(55, Rate, 7 * Rate, 0.4);
        var ducked = Signals.Fill(1, held.Frames, (_, frame) => held[0][frame] * (1 - (0.6 * beats.Sum(beat => frame / (double)Rate - beat is > 0 and var t ? Math.Exp(-t / 0.15) : 0))));
        using var map = MeasuredSong.Measure(("kick", MeasuredSong.Kick(7, 52, 0.7, beats)), ("held", held), ("ducked", ducked));
        var checks = DuckedCheck.Of(map, new(0, [], 52, [.. beats.Select(beat => new Hit((long)(beat * Rate), 1))]), 2, default);
        var check = Assert.Single(checks);
        Assert.Equal((CheckKind.AlreadyDucked, 2), (check.Kind, check.Stem));
        Assert.Equal(-4.8, check.Value, 1.0);
    }

    /// <summary>A stem whose file tells when it was recorded.</summary>
    private sealed class Dated(IStemReader stem, long timeReferenceFrames) : IStemReader
    {
        public StemFormat Format { get; } = stem.Format with { TimeReferenceFrames = timeReferenceFrames };

        public void Read(long startFrame, Signal into) => stem.Read(startFrame, into);

        public void Dispose() => stem.Dispose();
    }

    private static Signal Bass() => Signals.Sine(55, Rate, 3 * Rate, 0.4);

    private static (CheckKind Kind, int Stem) Only(IReadOnlyList<Check> checks) => (Assert.Single(checks).Kind, checks[0].Stem);

    private static IReadOnlyList<Check> Check(params (string Name, Signal Samples)[] stems)
    {
        using var map = MeasuredSong.Measure(stems);
        return StemChecks.Of(map);
    }
}
