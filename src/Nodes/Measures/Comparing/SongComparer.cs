using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.Limiting;
using RenderGraph.Nodes.Measures.Loudness;
using RenderGraph.Nodes.Measures.LowEnd;

namespace RenderGraph.Nodes.Measures.Comparing;

/// <summary>
/// Compares a song after its treatment with the song before, in one pass: loudness and peaks, the low end, what collides with the anchor at its hits, what is left when one is taken from the other, and how
/// loud each part stays. Everything is told as it is and, where it matters, at equal loudness.
/// </summary>
public sealed class SongComparer : ISongComparer
{
    /// <summary>Names of what only the two together tell.</summary>
    public const string
        LoudnessMatch = "loudnessMatchLu", ResidueAsIs = "residueDb", ResidueAtBestGain = "residueAtBestGainDb", BestGain = "bestGainDb", PeakSaved = "peakSavedDb",
        ClearanceChange = "clearanceChangeDb", SummationChange = "summationChangeDb", LowEndChange = "lowEndChangeDb", MonoLossChange = "monoLossChangeDb",
        AnchorResidue = "anchorResidueDb", AnchorChange = "anchorChangeDb", PartChange = "worstLowPartChangeLu";

    /// <summary>A residue that is less is called this: it is what arithmetic can tell of two signals that differ by a gain.</summary>
    public const double NothingLeftDb = -150;

    private const string Integrated = "integratedLufs", TruePeak = "truePeakDbtp", PeakToLoudness = "peakToLoudnessDb", LowEnd = "lowEndDbfs", MonoLoss = "monoLossDb", Clearance = "clearanceDb", Summation = "summationGainDb";

    private static readonly string[] LowBands = ["level20To30Dbfs", "level30To60Dbfs", "level60To120Dbfs", "level120To300Dbfs"];

    private CompareFormat _format = null!;
    private Side _after = null!, _before = null!;
    private Residue _song = null!, _anchor = null!;
    private PartWeights? _parts;

    /// <inheritdoc/>
    public void Prepare(CompareFormat format)
    {
        ArgumentNullException.ThrowIfNull(format);
        _format = format;
        (_after, _before) = (new(format, 0), new(format, 1));
        (_song, _anchor) = (new(), new());
        _parts = format.Parts.Count == 0 ? null : new(format, [.. format.Channels.Skip(FirstPart)]);
    }

    /// <inheritdoc/>
    public void Hear(ReadOnlySpan<Signal> heard)
    {
        _after.Hear(heard);
        _before.Hear(heard);
        _song.Hear(heard[0], heard[1]);
        if (_format.Anchor is { IsHeard: true })
            _anchor.Hear(heard[2], heard[3]);
        _parts?.Hear(heard[FirstPart..]);
    }

    /// <inheritdoc/>
    public SongChange Conclude()
    {
        var (after, before) = (_after.Conclude(), _before.Conclude());
        var parts = Enumerable.Range(0, _format.Parts.Count).Select(part => _parts!.Of(part)).ToList();
        var match = Change(LoudnessMatch, Of(after, Integrated), Of(before, Integrated));
        List<Measurement> between =
        [
            match,
            _song.Db is { } residue ? new(ResidueAsIs, residue) : Measurement.None(ResidueAsIs, Silent),
            _song.AtBestGainDb is { } atBestGain ? new(ResidueAtBestGain, atBestGain) : Measurement.None(ResidueAtBestGain, Silent),
            _song.BestGain is { } gain ? new(BestGain, Decibels.FromAmplitude(gain)) : Measurement.None(BestGain, "the two have nothing in common"),
            Change(PeakSaved, Of(after, PeakToLoudness), Of(before, PeakToLoudness)),
            Change(ClearanceChange, Of(before, Clearance), Of(after, Clearance)),
            Change(SummationChange, Of(before, Summation), Of(after, Summation)),
            AtEqualLoudness(Change(LowEndChange, Of(before, LowEnd), Of(after, LowEnd)), match),
            Change(MonoLossChange, Of(before, MonoLoss), Of(after, MonoLoss)),
            _format.NoAnchor is { } reason ? Measurement.None(AnchorResidue, reason)
                : _format.Anchor is not { IsHeard: true } ? Measurement.None(AnchorResidue, NotHeard)
                : _anchor.AtBestGainDb is { } anchorResidue ? new(AnchorResidue, anchorResidue) : Measurement.None(AnchorResidue, Silent),
            AtEqualLoudness(Change(AnchorChange, _before.AnchorLowEnd(), _after.AnchorLowEnd()), match),
            WorstOf(parts, match),
        ];
        return new(before, after, between, parts, VerdictRules.Judge(name => between.First(measurement => measurement.Name == name), Worst(parts)?.Part));
    }

    private const string Silent = "it is silent", NoRole = "it plays no role in a verdict", NotHeard = "the anchor is not heard: it only steers";

    private int FirstPart => _format.Anchor is null ? 2 : 4;

    private static Measurement Of(IReadOnlyList<Measurement> measured, string name) => measured.First(measurement => measurement.Name == name);

    /// <summary>The second less the first; why not, if either is missing.</summary>
    private static Measurement Change(string name, Measurement from, Measurement to) =>
        (from.Value, to.Value) is ({ } before, { } after) ? new(name, after - before) : Measurement.None(name, from.Reason ?? to.Reason!);

    /// <summary>Without a loudness there is nothing to make equal.</summary>
    private static Measurement AtEqualLoudness(Measurement change, Measurement match) =>
        change.Value is { } value ? change with { Value = value + (match.Value ?? 0) } : change;

    /// <summary>The low part that lost most against the song.</summary>
    private Measurement WorstOf(List<PartChange> parts, Measurement match)
    {
        return _format.NoParts is { } reason ? Measurement.None(PartChange, reason)
            : Worst(parts) is { } worst ? AtEqualLoudness(worst.ChangeLu with { Name = PartChange }, match)
            : Measurement.None(PartChange, "no low part is treated");
    }

    private static PartChange? Worst(List<PartChange> parts) => parts.Where(part => part is { IsLow: true, ChangeLu.Value: not null }).MinBy(part => part.ChangeLu.Value);

    /// <summary>What is measured of the song after, or before.</summary>
    private sealed class Side
    {
        private readonly CompareFormat _format;
        private readonly int _side;
        private readonly LoudnessMeter _loudness = new(new HashSet<string> { Integrated, TruePeak, PeakToLoudness });
        private readonly LowEndMeter _lowEnd = new(new HashSet<string>([LowEnd, MonoLoss, .. LowBands]), atHits: false);
        private readonly HighBand? _highBand;
        private readonly LimitedLoudnessMeter? _limited;
        private readonly AnchorMeter? _collisions;
        private readonly LowEndMeter? _anchorLowEnd;

        public Side(CompareFormat format, int side)
        {
            (_format, _side) = (format, side);
            MeterFormat song = new(format.SampleRateHz, [format.Channels[side]], format.MaxBlockFrames);
            _loudness.Prepare(song);
            _lowEnd.Prepare(song);
            _highBand = format.IsForVerdict ? null : new(format.SampleRateHz, format.Channels[side], format.MaxBlockFrames);
            _limited = format.IsForVerdict ? null : new(new HashSet<string> { LimitedLoudnessMeter.Loudness });
            _limited?.Prepare(song with { Channels = [format.Channels[side], format.Channels[side]] });
            if (format.Anchor is not { } anchor)
                return;
            _collisions = new(CollisionMeasures);
            _collisions.Prepare(song with { Channels = [format.Channels[side], format.Channels[2 + side]], Anchor = new(anchor.HitFrames, anchor.FrequencyHz, anchor.IsHeard) });
            _anchorLowEnd = new(new HashSet<string> { LowEnd }, atHits: false);
            _anchorLowEnd.Prepare(song with { Channels = [format.Channels[2 + side]] });
        }

        private static HashSet<string> CollisionMeasures { get; } = ["overlap", Summation, "phaseConsistency", Clearance];

        public void Hear(ReadOnlySpan<Signal> heard)
        {
            _loudness.Hear([heard[_side]]);
            _lowEnd.Hear([heard[_side]]);
            _highBand?.Hear(heard[_side]);
            _limited?.Hear([heard[_side], heard[_side]]);
            _collisions?.Hear([heard[_side], heard[2 + _side]]);
            _anchorLowEnd?.Hear([heard[2 + _side]]);
        }

        public IReadOnlyList<Measurement> Conclude() =>
        [
            .. _loudness.Conclude(), .. _lowEnd.Conclude(), _highBand?.Conclude() ?? HighBand.None(NoRole),
            .. _limited?.Conclude() ?? [Measurement.None(LimitedLoudnessMeter.Loudness, NoRole)],
            .. _collisions?.Conclude() ?? CollisionMeasures.Select(measure => Measurement.None(measure, _format.NoAnchor!)),
        ];

        public Measurement AnchorLowEnd() => _format.Anchor is null ? Measurement.None(LowEnd, _format.NoAnchor!)
            : !_format.Anchor.IsHeard ? Measurement.None(LowEnd, NotHeard) : _anchorLowEnd!.Conclude().Single();
    }
}
