using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Loudness;

/// <summary>
/// Loudness and peaks by ITU-R BS.1770-5 and EBU Tech 3341 and 3342, in one pass. The song is cut into hops of 10 ms: momentary (0.4 s) and short-term (3 s) loudness are read after
/// each of them; the windows of the integrated loudness (0.4 s) and of the loudness range (3 s) start every 100 ms. What a hop gives does not depend on the blocks in which it came.
/// </summary>
/// <param name="measures">The names of those that are wanted; the work for others is spared.</param>
public sealed class LoudnessMeter(IReadOnlySet<string> measures) : IMeter
{
    private const int MomentaryHops = 40, ShortTermHops = 300, StepHops = 10, StepsPerWindow = ShortTermHops / StepHops;
    private const double IntegratedGateLu = 10, RangeGateLu = 20, RangeLowPercent = 10, RangeHighPercent = 95;

    private const double LeastMeanSquare = 1e-20; // -200 dBFS

    internal const string Integrated = "integratedLufs", Range = "loudnessRangeLu", MaxMomentary = "maxMomentaryLufs", MaxShortTerm = "maxShortTermLufs",
        TruePeak = "truePeakDbtp", SamplePeak = "samplePeakDbfs", PeakToLoudness = "peakToLoudnessDb", PeakToShortTerm = "minPeakToShortTermDb", Crest = "crestDb";

    private readonly bool _hasLoudness = measures.Overlaps([Integrated, Range, MaxMomentary, MaxShortTerm, PeakToLoudness, PeakToShortTerm]);
    private readonly bool _hasTruePeak = measures.Overlaps([TruePeak, PeakToLoudness, PeakToShortTerm]);
    private readonly IReadOnlyList<CrestBand> _bands = [.. CrestBand.All.Where(band => !band.IsLow && measures.Contains(band.Measure))];
    private readonly List<CrestBand> _lowBands = [.. CrestBand.All.Where(band => band.IsLow && measures.Contains(band.Measure))];

    private readonly bool _hasPeakToShortTerm = measures.Contains(PeakToShortTerm);
    private readonly bool _hasCrest = measures.Contains(Crest);

    private int _rateHz;
    private IReadOnlyList<double> _weights = [];
    private Hops _hops = null!;

    private SectionBank? _bank; // for loudness, if wanted, then for each band that is not low
    private LowCrest? _lowCrest;
    private Signal[] _inputs = [], _outputs = [], _filtered = [];
    private bool[] _silence = [];
    private TruePeakDetector[] _truePeaks = [];

    private double[] _energies = []; // of the last hops, a ring
    private double[] _stepPeaks = []; // true peaks of the last steps, a ring
    private LoudnessHistogram _blocks = new(), _shortTerms = new();
    private double _maxMomentary, _maxShortTerm, _minPeakToShortTerm;
    private long _maxMomentaryFrame, _maxShortTermFrame, _minPeakToShortTermFrame;

    private double _samplePeak, _energy;
    private long _samplePeakFrame;
    private double[] _bandPeaks = [], _bandEnergies = [];

    /// <summary>The type.</summary>
    public static MeterType Type { get; } = new(
        "loudness", [MeterPort.Measured],
        [
            new(Integrated, "Integrated loudness of everything heard, both gates, ITU-R BS.1770-5.") { AtHits = "The loudness of 0.17 s from each hit on, gated like the standard's blocks." },
            new(Range, "Loudness range, EBU Tech 3342: from the 10th to the 95th percentile of the short-term loudness.") { NotAtHits = "a range is made of windows of 3 s" },
            new(MaxMomentary, "The loudest 0.4 s, read every 10 ms, EBU Tech 3341.") { AtHits = "The loudest 0.4 s that begin at a hit." },
            new(MaxShortTerm, "The loudest 3 s, read every 10 ms, EBU Tech 3341.") { NotAtHits = "its window is 3 s long" },
            new(TruePeak, "The highest point of the sound, between samples too, at 8 times the rate, ITU-R BS.1770-5, Annex 2.") { AtHits = Within },
            new(SamplePeak, "The largest sample.") { AtHits = Within },
            new(PeakToLoudness, "PLR: true peak above integrated loudness.") { AtHits = "The true peak above the loudness, both at the hits." },
            new(PeakToShortTerm, "PSR: true peak of 3 s above their short-term loudness, read every 100 ms where it is above -70 LUFS; the smallest.") { NotAtHits = "its window is 3 s long" },
            new(Crest, "Largest sample above the root mean square of everything heard; a sine has 3.01 dB.") { AtHits = Within },
            .. CrestBand.All.Select(band => new MeasureType(
                band.Measure, $"Crest factor of the band {band.Words}, cut out by Butterworth filters.") { AtHits = Within }),
        ],
        wanted => new LoudnessMeter(wanted)) { CreateAtHits = wanted => new HitLoudnessMeter(wanted) };

    private const string Within = "The same of what lies within 0.17 s from each hit on.";

    /// <inheritdoc/>
    public void Prepare(MeterFormat format)
    {
        _rateHz = format.SampleRateHz;
        _weights = ChannelWeights.Of(format.Channels[0]);
        var channels = _weights.Count;
        _hops = new(_rateHz, channels);
        var stride = _hops.MostFrames;

        var filters = (_hasLoudness ? new[] { KWeighting.Sections(_rateHz) } : [])
            .Concat(_bands.Select(band => band.Sections(_rateHz)))
            .Select(sections => (channels, sections)).ToList();
        _bank = filters.Count == 0 ? null : new(filters);
        _lowCrest = _lowBands.Count == 0 ? null : new(_lowBands, _rateHz, channels, stride);
        _silence = new bool[filters.Count];
        var planes = new double[filters.Count * channels * stride];
        _filtered = [.. filters.Select((_, index) => new Signal(planes, index * channels * stride, stride, channels, stride, _silence, index))];
        (_inputs, _outputs) = (new Signal[filters.Count], new Signal[filters.Count]);

        var interpolator = _hasTruePeak ? new TruePeakInterpolator() : null;
        _truePeaks = interpolator is null ? [] : [.. _weights.Select(_ => new TruePeakDetector(interpolator, stride))];
        (_energies, _stepPeaks) = (new double[ShortTermHops], new double[StepsPerWindow]);
        (_blocks, _shortTerms) = (new(), new());
        (_maxMomentary, _maxShortTerm, _minPeakToShortTerm) = (0, 0, double.PositiveInfinity);
        (_samplePeak, _energy, _samplePeakFrame) = (0, 0, 0);
        (_bandPeaks, _bandEnergies) = (new double[_bands.Count], new double[_bands.Count]);
    }

    /// <inheritdoc/>
    public void Hear(ReadOnlySpan<Signal> heard)
    {
        var signal = heard[0];
        for (var start = 0; start < signal.Frames;)
        {
            start += _hops.Take(signal, start);
            if (_hops.IsWhole)
                EndHop();
        }
    }

    /// <inheritdoc/>
    public IReadOnlyList<Measurement> Conclude()
    {
        // A hop that is not whole counts for peaks, but belongs to no window of loudness.
        if (_hops.Frames > 0)
            HearHop();
        foreach (var detector in _truePeaks)
            detector.End();
        _lowCrest?.End();
        return [.. Type.Measures.Where(measure => measures.Contains(measure.Name)).Select(measure => Conclude(measure.Name))];
    }

    private void EndHop()
    {
        _energies[_hops.Count % ShortTermHops] = HearHop();
        _hops.Next();
        if (_hasLoudness)
            ReadWindows();
    }

    /// <summary>Everything that a hop tells by itself.</summary>
    /// <returns>Its weighted energy.</returns>
    private double HearHop()
    {
        var (hop, firstFrame) = (_hops.Open, _hops.FirstFrame);
        for (var channel = 0; channel < _weights.Count; channel++)
        {
            if (!hop.IsSilent)
                HearSamples(hop[channel], firstFrame);
            if (_hasTruePeak)
                _truePeaks[channel].Hear(hop[channel], hop.IsSilent);
        }

        _lowCrest?.Hear(hop);
        if (_bank is null)
            return 0;
        for (var index = 0; index < _filtered.Length; index++)
        {
            _inputs[index] = hop;
            _outputs[index] = _filtered[index].Slice(0, hop.Frames);
            _outputs[index].IsSilent = false;
        }

        _bank.Process(firstFrame, _inputs, _outputs);
        for (var band = 0; band < _bands.Count; band++)
            HearBand(band, _outputs[_outputs.Length - _bands.Count + band]);
        return _hasLoudness ? ChannelWeights.EnergyOf(_outputs[0], _weights) : 0;
    }

    private void HearSamples(ReadOnlySpan<double> samples, long firstFrame)
    {
        if (_hasCrest)
            _energy += Energy.Of(samples);
        var peak = Peaks.Largest(samples);
        if (peak > _samplePeak)
            (_samplePeak, _samplePeakFrame) = (peak, firstFrame + Peaks.FirstOf(samples, peak));
    }

    private void HearBand(int band, Signal signal)
    {
        if (signal.IsSilent)
            return;
        for (var channel = 0; channel < signal.Channels; channel++)
        {
            _bandEnergies[band] += Energy.Of(signal[channel]);
            _bandPeaks[band] = Peaks.Largest(signal[channel], _bandPeaks[band]);
        }
    }

    private void ReadWindows()
    {
        var isStep = _hops.Count % StepHops == 0;
        if (_hops.Count >= MomentaryHops)
        {
            var momentary = RecentEnergy(MomentaryHops) / _hops.FramesOf(MomentaryHops);
            if (momentary > _maxMomentary)
                (_maxMomentary, _maxMomentaryFrame) = (momentary, _hops.HeardFrames);
            if (isStep)
                _blocks.Add(momentary);
        }

        if (isStep && _hasPeakToShortTerm)
            _stepPeaks[_hops.Count / StepHops % StepsPerWindow] = TakeStepPeak();
        if (_hops.Count < ShortTermHops)
            return;

        // The ring holds this window and nothing else.
        var shortTerm = Energy.Sum(_energies) / _hops.FramesOf(ShortTermHops);
        if (shortTerm > _maxShortTerm)
            (_maxShortTerm, _maxShortTermFrame) = (shortTerm, _hops.HeardFrames);
        if (!isStep)
            return;
        _shortTerms.Add(shortTerm);
        if (_hasPeakToShortTerm && shortTerm > LoudnessHistogram.AbsoluteGate)
            ReadPeakToShortTerm(shortTerm);
    }

    private void ReadPeakToShortTerm(double shortTerm)
    {
        var ratio = Decibels.FromAmplitude(Peaks.Largest(_stepPeaks)) - LoudnessScale.LufsOf(shortTerm);
        if (ratio < _minPeakToShortTerm)
            (_minPeakToShortTerm, _minPeakToShortTermFrame) = (ratio, _hops.HeardFrames);
    }

    private double TakeStepPeak()
    {
        var peak = 0.0;
        foreach (var detector in _truePeaks)
        {
            peak = Math.Max(peak, detector.RecentPeak);
            detector.RecentPeak = 0;
        }

        return peak;
    }

    /// <summary>Of the last hops, from the oldest on.</summary>
    private double RecentEnergy(int hops)
    {
        var (sum, end) = (0.0, (int)(_hops.Count % ShortTermHops));
        foreach (var energy in _energies.AsSpan(Math.Min(ShortTermHops, ShortTermHops + end - hops), Math.Max(0, hops - end)))
            sum += energy;
        foreach (var energy in _energies.AsSpan(Math.Max(0, end - hops), Math.Min(end, hops)))
            sum += energy;
        return sum;
    }

    private Measurement Conclude(string measure)
    {
        switch (measure)
        {
            case Integrated:
                return IntegratedLufs(out var integrated) is { } noIntegrated ? Measurement.None(measure, noIntegrated) : new(measure, integrated);
            case Range:
                return TooShort(ShortTermHops) is { } tooShort ? Measurement.None(measure, tooShort)
                    : _shortTerms.Count == 0 ? Measurement.None(measure, NothingAboveTheGate)
                    : new(measure, _shortTerms.RangeLu(RangeGateLu, RangeLowPercent, RangeHighPercent));
            case MaxMomentary:
                return Windowed(measure, MomentaryHops, _maxMomentary, _maxMomentaryFrame);
            case MaxShortTerm:
                return Windowed(measure, ShortTermHops, _maxShortTerm, _maxShortTermFrame);
            case TruePeak:
                return TruePeakOf(out var truePeak, out var place) ? new(measure, truePeak, AtFrame: place) : Measurement.None(measure, Silent);
            case SamplePeak:
                return _samplePeak > 0 ? new(measure, Decibels.FromAmplitude(_samplePeak), AtFrame: _samplePeakFrame) : Measurement.None(measure, Silent);
            case PeakToLoudness:
                return IntegratedLufs(out var loudness) is { } noLoudness ? Measurement.None(measure, noLoudness)
                    : TruePeakOf(out var peak, out _) ? new(measure, peak - loudness) : Measurement.None(measure, Silent);
            case PeakToShortTerm:
                return TooShort(ShortTermHops) is { } tooShortForPeak ? Measurement.None(measure, tooShortForPeak)
                    : double.IsFinite(_minPeakToShortTerm) ? new(measure, _minPeakToShortTerm, AtFrame: _minPeakToShortTermFrame)
                    : Measurement.None(measure, NothingAboveTheGate);
            case Crest:
                return CrestOf(measure, _samplePeak, MeanSquare(_energy), Silent);
            default:
                var band = _bands.TakeWhile(known => known.Measure != measure).Count();
                if (band < _bands.Count)
                    return CrestOf(measure, _bandPeaks[band], MeanSquare(_bandEnergies[band]), NothingInTheBand);
                var lowBand = _lowBands.TakeWhile(known => known.Measure != measure).Count();
                return CrestOf(measure, _lowCrest!.Peaks[lowBand], _lowCrest.MeanSquare(lowBand), NothingInTheBand);
        }
    }

    private const string Silent = "it is silent", NothingAboveTheGate = "nothing in it is louder than the gate of -70 LUFS",
        NothingInTheBand = "there is nothing in the band above -200 dBFS";

    private string? IntegratedLufs(out double lufs)
    {
        lufs = _blocks.Count > 0 ? _blocks.GatedLufs(IntegratedGateLu) : 0;
        return TooShort(MomentaryHops) ?? (_blocks.Count == 0 ? NothingAboveTheGate : null);
    }

    private bool TruePeakOf(out double dbtp, out long frame)
    {
        var (peak, first) = (0.0, 0L);
        foreach (var detector in _truePeaks.Where(detector => detector.Peak > 0))
        {
            first = detector.Peak > peak ? detector.PeakFrame : detector.Peak == peak ? Math.Min(first, detector.PeakFrame) : first;
            peak = Math.Max(peak, detector.Peak);
        }

        // What rings before the first sample or after the last belongs to them.
        (dbtp, frame) = (Decibels.FromAmplitude(peak), Math.Clamp(first, 0, Math.Max(0, _hops.HeardFrames - 1)));
        return peak > 0;
    }

    private Measurement Windowed(string measure, int hops, double power, long endFrame) =>
        TooShort(hops) is { } tooShort ? Measurement.None(measure, tooShort)
        : power > 0 ? new(measure, LoudnessScale.LufsOf(power), AtFrame: endFrame)
        : Measurement.None(measure, Silent);

    private double MeanSquare(double energy) => _hops.HeardFrames == 0 ? 0 : energy / ((double)_hops.HeardFrames * _weights.Count);

    private static Measurement CrestOf(string measure, double peak, double meanSquare, string reason) => meanSquare > LeastMeanSquare
        ? new(measure, Decibels.FromAmplitude(peak) - (Decibels.FromAmplitude(meanSquare) / 2))
        : Measurement.None(measure, reason);

    private string? TooShort(int hops) => _hops.Count >= hops ? null : string.Create(
        CultureInfo.InvariantCulture, $"it lasts {(double)_hops.HeardFrames / _rateHz:0.###} s, and {(double)hops / Hops.PerSecond} s are needed");
}
