using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Bands;
using RenderGraph.Nodes.Measures.Spectra;
using RenderGraph.Nodes.Measures.Stems;

namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>
/// What a signal does to the anchor at its hits, in one pass with the render: the figures of <see cref="CollisionMap"/>, from the same windows and bands. Where the anchor is heard in the signal, it is
/// compared with everything else there; elsewhere with the signal. Memory is a few numbers a hit.
/// </summary>
/// <param name="measures">The names of those that are wanted.</param>
public sealed class AnchorMeter(IReadOnlySet<string> measures) : IMeter
{
    private const int Anchor = 0, Other = 1;

    /// <summary>What the hits' own measures are at the hits.</summary>
    internal const string Always = "The same: it is always taken there.";

    private const string Overlap = "overlap", SummationGain = "summationGainDb", Phase = "phaseDegrees", PhaseConsistency = "phaseConsistency", Clearance = "clearanceDb";

    private MeterAnchor? _anchor;
    private LowBand _band;
    private SpectralFrame _frame = null!;
    private SpectralFrame.Worker _worker = null!;
    private LowBandStream _source = null!, _alone = null!;
    private HitGathering _gathering = null!;
    private SpectraBatch _batch = null!;
    private double[] _samples = [], _anchorSamples = [];
    private int _nextHit;

    /// <summary>The type.</summary>
    public static MeterType Type { get; } = new(
        "anchor", [MeterPort.Source, MeterPort.Anchor],
        [
            new(Overlap, "How much of the anchor's energy at its hits is covered with as much of another's, in half-ERB bands from 20 to 300 Hz: 0 is none, 1 all of it.") { AtHits = Always },
            new(SummationGain, "Level of the anchor and the rest together over the louder of them, in the anchor's own band: the median over its hits; 6.0 in phase and equal, 0 at 120 degrees, less where they cancel.") { AtHits = Always },
            new(Phase, "How far the rest lies ahead of the anchor in the anchor's own band, over its hits: -180 to 180.") { AtHits = Always },
            new(PhaseConsistency, "How steady that phase is from hit to hit: 1 always the same, 0 any.") { AtHits = Always },
            new(Clearance, "By how much the anchor stands above everything else in its own band (one ERB): the median over its hits.") { AtHits = Always },
        ],
        wanted => new AnchorMeter(wanted)) { IsOfLowEnd = true };

    /// <inheritdoc/>
    public void Prepare(MeterFormat format)
    {
        _anchor = format.Anchor;
        _band = LowBand.Of(format.SampleRateHz);
        _frame = new(CollisionMap.WindowSeconds, _band.SampleRateHz);
        _worker = _frame.NewWorker();
        var wanted = Enumerable.Range(0, HitCount).Select(StartOf).ToList();
        _source = new(_band, format.SampleRateHz, format.Channels[0], _frame.WindowFrames, format.MaxBlockFrames, wanted);
        _alone = new(_band, format.SampleRateHz, format.Channels[1], _frame.WindowFrames, format.MaxBlockFrames, wanted);
        Band? own = _anchor?.FrequencyHz is { } frequencyHz ? ErbScale.Around(frequencyHz) : null;
        _gathering = new([true, false], [true, true], _anchor?.HitFrames?.Count ?? 0, _frame, own, windows: 1);
        _batch = new([format.Channels[1], format.Channels[0]], _frame.BinCount, windows: 1) { WindowCount = 1 };
        (_samples, _anchorSamples) = (new double[_frame.WindowFrames], new double[_frame.WindowFrames]);
        _nextHit = 0;
    }

    /// <inheritdoc/>
    public void Hear(ReadOnlySpan<Signal> heard)
    {
        _source.Hear(heard[0]);
        _alone.Hear(heard[1]);
        while (_nextHit < HitCount && StartOf(_nextHit) + _frame.WindowFrames <= _source.ReadyFrames)
            Look(_nextHit++);
    }

    /// <inheritdoc/>
    public IReadOnlyList<Measurement> Conclude()
    {
        _source.Finish();
        _alone.Finish();
        while (_nextHit < HitCount)
            Look(_nextHit++);
        var figures = HitFigures.Of(_gathering, Other);
        return [.. Type.Measures.Where(measure => measures.Contains(measure.Name)).Select(measure => Conclude(measure.Name, figures))];
    }

    private int HitCount => _anchor?.HitFrames?.Count ?? 0;

    private long StartOf(int hit) => _band.Nearest(_anchor!.HitFrames![hit]);

    private void Look(int hit)
    {
        var start = StartOf(hit);
        for (var channel = 0; channel < _alone.Channels; channel++)
        {
            _alone.Read(channel, start, _samples);
            Transform(_samples, _batch.PlaneOf(Anchor, channel));
        }

        for (var channel = 0; channel < _source.Channels; channel++)
        {
            _source.Read(channel, start, _samples);
            if (_anchor!.IsWithin)
            {
                _alone.Read(Math.Min(channel, _alone.Channels - 1), start, _anchorSamples);
                for (var index = 0; index < _samples.Length; index++)
                    _samples[index] -= _anchorSamples[index];
            }

            Transform(_samples, _batch.PlaneOf(Other, channel));
        }

        _batch.FirstWindow = hit;
        _gathering.Add(_batch, threads: 1);
    }

    private void Transform(double[] samples, int plane) => _batch.IsSilent(plane, 0) = !_worker.Of(samples, _batch.Real(plane, 0), _batch.Imaginary(plane, 0));

    private Measurement Conclude(string measure, HitFigures figures)
    {
        if (_anchor?.HitFrames is null)
            return Measurement.None(measure, "nobody looked for the anchor's hits");
        if (HitCount == 0)
            return Measurement.None(measure, "the anchor does not hit here");
        var hits = _gathering.Parts[Other].Hits;
        if (measure == Overlap)
        {
            return _gathering.AnchorPower > 0
                ? new(measure, figures.Overlap, AtFrame: PlaceOf(HitWith(hit => -hits[hit].Overlap))) : Measurement.None(measure, SilentAnchor);
        }

        if (_anchor.FrequencyHz is null)
            return Measurement.None(measure, "the anchor's frequency is not known");
        if (!_gathering.AnchorOwnPowers.Any(power => power > 0))
            return Measurement.None(measure, SilentAnchor);
        return measure switch
        {
            Clearance => HitFigures.Median(_gathering.ClearanceDb.OfType<double>()) is { } clearanceDb
                ? new(measure, clearanceDb, AtFrame: PlaceOf(HitWith(hit => _gathering.ClearanceDb[hit]))) : Measurement.None(measure, NobodyElse),
            SummationGain => figures.SummationGainDb is { } gainDb
                ? new(measure, gainDb, AtFrame: PlaceOf(HitWith(hit => figures.Heard.Contains(hit) ? hits[hit].SummationGainDb : null))) : Measurement.None(measure, NobodyElse),
            _ => figures.PhaseConsistency is { } consistency
                ? new(measure, measure == Phase ? figures.PhaseDegrees : consistency, AtFrame: PlaceOf(LeastSteady(figures)))
                : Measurement.None(measure, FormattableString.Invariant($"it takes {HitFigures.LeastHits} hits at which both are heard in the anchor's own band")),
        };
    }

    private const string SilentAnchor = "the anchor is silent at its hits", NobodyElse = "nothing else is heard in the anchor's own band at its hits";

    private long? PlaceOf(int? hit) => hit is { } found ? _anchor!.HitFrames![found] : null;

    /// <summary>The first of those hits at which a value is least; null if it is known at none.</summary>
    private int? HitWith(Func<int, double?> value)
    {
        var (found, least) = ((int?)null, double.PositiveInfinity);
        for (var hit = 0; hit < HitCount; hit++)
        {
            if (value(hit) is { } known && known < least)
                (found, least) = (hit, known);
        }

        return found;
    }

    // The hit whose phase is furthest from that of all together.
    private int? LeastSteady(HitFigures figures)
    {
        var part = _gathering.Parts[Other];
        double real = figures.Heard.Sum(hit => part.OwnReal[hit]), imaginary = figures.Heard.Sum(hit => part.OwnImaginary[hit]);
        return HitWith(hit =>
        {
            var length = Math.Sqrt((part.OwnReal[hit] * part.OwnReal[hit]) + (part.OwnImaginary[hit] * part.OwnImaginary[hit]));
            return length > 0 && figures.Heard.Contains(hit) ? ((real * part.OwnReal[hit]) + (imaginary * part.OwnImaginary[hit])) / length : null;
        });
    }
}
