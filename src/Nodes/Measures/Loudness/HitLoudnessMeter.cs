using System.Globalization;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Collisions;

namespace RenderGraph.Nodes.Measures.Loudness;

/// <summary>
/// Loudness and peaks of what sounds at the anchor's hits: of 0.17 s from each onset on, momentary loudness of the 0.4 s that begin there. Filters hear everything; what they give counts only in these
/// windows. Peaks and crest factors take the windows together, loudness each for itself, as the standard takes its blocks. Memory is a few numbers a hit.
/// </summary>
/// <param name="measures">The names of those that are wanted.</param>
public sealed class HitLoudnessMeter(IReadOnlySet<string> measures) : IMeter
{
    private const double IntegratedGateLu = 10, MomentarySeconds = 0.4, LeastMeanSquare = 1e-20; // -200 dBFS

    // Filters work in pieces that stay in the nearest cache.
    private const int PieceFrames = 512;

    private readonly bool _hasIntegrated = measures.Overlaps([LoudnessMeter.Integrated, LoudnessMeter.PeakToLoudness]);
    private readonly bool _hasMomentary = measures.Contains(LoudnessMeter.MaxMomentary);
    private readonly bool _hasTruePeak = measures.Overlaps([LoudnessMeter.TruePeak, LoudnessMeter.PeakToLoudness]);
    private readonly IReadOnlyList<CrestBand> _bands = [.. CrestBand.All.Where(band => measures.Contains(band.Measure))];

    private IReadOnlyList<long>? _hits;
    private IReadOnlyList<double> _weights = [];
    private long _frames;
    private int _windowFrames, _momentaryFrames, _firstHit;
    private HitWindows _heard = null!, _searched = null!;
    private PlaneSum[][] _windows = [], _momentaries = []; // of each hit, of each channel
    private SectionBank? _bank; // for loudness, if wanted, then for each band
    private Signal[] _inputs = [], _outputs = [], _filtered = [];
    private TruePeakDetector[] _truePeaks = [];
    private PlaneSum[] _energies = []; // of all, then of each band
    private double[] _peaks = [];
    private double _samplePeak;
    private long _samplePeakFrame;

    /// <inheritdoc/>
    public void Prepare(MeterFormat format)
    {
        _hits = format.Anchor?.HitFrames;
        _weights = ChannelWeights.Of(format.Channels[0]);
        (_frames, _firstHit, _samplePeak, _samplePeakFrame) = (0, 0, 0, 0);
        _windowFrames = (int)(CollisionMap.WindowSeconds * format.SampleRateHz);
        _momentaryFrames = (int)(MomentarySeconds * format.SampleRateHz);
        (_heard, _searched) = (new(_hits ?? [], _windowFrames, 0), new(_hits ?? [], _windowFrames, TruePeakDetector.LatencyFrames));
        _windows = Sums(_hasIntegrated ? _hits?.Count ?? 0 : 0);
        _momentaries = Sums(_hasMomentary ? _hits?.Count ?? 0 : 0);

        var (channels, hasLoudness) = (_weights.Count, _hasIntegrated || _hasMomentary);
        var filters = (hasLoudness ? new[] { KWeighting.Sections(format.SampleRateHz) } : [])
            .Concat(_bands.Select(band => band.Sections(format.SampleRateHz))).Select(sections => (channels, sections)).ToList();
        _bank = filters.Count == 0 ? null : new(filters);
        var planes = new double[filters.Count * channels * PieceFrames];
        _filtered = [.. filters.Select((_, index) => new Signal(planes, index * channels * PieceFrames, PieceFrames, channels, PieceFrames))];
        (_inputs, _outputs) = (new Signal[filters.Count], new Signal[filters.Count]);
        var interpolator = _hasTruePeak ? new TruePeakInterpolator() : null;
        _truePeaks = interpolator is null ? [] : [.. _weights.Select(_ => new TruePeakDetector(interpolator, PieceFrames))];
        _energies = [.. Enumerable.Range(0, 1 + _bands.Count).SelectMany(_ => _weights.Select(_ => new PlaneSum()))];
        _peaks = new double[1 + _bands.Count];

        PlaneSum[][] Sums(int count) => [.. Enumerable.Range(0, count).Select(_ => _weights.Select(_ => new PlaneSum()).ToArray())];
    }

    /// <inheritdoc/>
    public void Hear(ReadOnlySpan<Signal> heard)
    {
        for (var start = 0; start < heard[0].Frames; start += PieceFrames)
            HearPiece(heard[0].Slice(start, Math.Min(PieceFrames, heard[0].Frames - start)));
    }

    /// <inheritdoc/>
    public IReadOnlyList<Measurement> Conclude()
    {
        foreach (var detector in _truePeaks.Where(_ => _searched.Contains(_frames)))
            detector.End();
        return [.. LoudnessMeter.Type.Measures.Where(measure => measures.Contains(measure.Name)).Select(measure => Conclude(measure.Name))];
    }

    private void HearPiece(Signal piece)
    {
        HearTruePeak(piece);
        for (var at = 0; at < piece.Frames;)
        {
            var count = _heard.Run(_frames + at, piece.Frames - at, out var isInside);
            for (var channel = 0; channel < piece.Channels && isInside; channel++)
                HearSamples(piece[channel].Slice(at, count), channel, _frames + at);
            at += count;
        }

        if (_bank is not null)
        {
            for (var index = 0; index < _filtered.Length; index++)
                (_inputs[index], _outputs[index]) = (piece, _filtered[index].Slice(0, piece.Frames));
            _bank.Process(_frames, _inputs, _outputs);
            for (var band = 0; band < _bands.Count; band++)
                HearBand(band, _outputs[_outputs.Length - _bands.Count + band]);
            if (_hasIntegrated || _hasMomentary)
                HearLoudness(_outputs[0]);
        }

        _frames += piece.Frames;
    }

    private void HearTruePeak(Signal piece)
    {
        for (var at = 0; at < piece.Frames && _hasTruePeak;)
        {
            var count = _searched.Run(_frames + at, piece.Frames - at, out var isInside);
            for (var channel = 0; channel < piece.Channels; channel++)
            {
                var samples = piece[channel].Slice(at, count);
                if (isInside)
                    _truePeaks[channel].Hear(samples, isSilent: false);
                else
                    _truePeaks[channel].Pass(samples);
            }

            at += count;
        }
    }

    private void HearSamples(ReadOnlySpan<double> samples, int channel, long firstFrame)
    {
        _energies[channel].AddSquares(samples);
        var peak = Peaks.Largest(samples);
        if (peak < _samplePeak || peak == 0)
            return;
        var frame = firstFrame + Peaks.FirstOf(samples, peak);
        _samplePeakFrame = peak > _samplePeak ? frame : Math.Min(frame, _samplePeakFrame);
        _samplePeak = _peaks[0] = peak;
    }

    private void HearBand(int band, Signal filtered)
    {
        for (var at = 0; at < filtered.Frames;)
        {
            var count = _heard.Run(_frames + at, filtered.Frames - at, out var isInside);
            for (var channel = 0; channel < filtered.Channels && isInside; channel++)
            {
                var samples = filtered[channel].Slice(at, count);
                _energies[((1 + band) * _weights.Count) + channel].AddSquares(samples);
                _peaks[1 + band] = Peaks.Largest(samples, _peaks[1 + band]);
            }

            at += count;
        }
    }

    private void HearLoudness(Signal weighted)
    {
        var (longest, end) = (_hasMomentary ? _momentaryFrames : _windowFrames, _frames + weighted.Frames);
        while (_firstHit < (_hits?.Count ?? 0) && _hits![_firstHit] + longest <= _frames)
            _firstHit++;
        for (var hit = _firstHit; hit < (_hits?.Count ?? 0) && _hits![hit] < end; hit++)
        {
            for (var channel = 0; channel < _weights.Count; channel++)
            {
                if (_hasIntegrated)
                    _windows[hit][channel].AddSquares(PartOf(weighted[channel], _hits[hit], _windowFrames));
                if (_hasMomentary)
                    _momentaries[hit][channel].AddSquares(PartOf(weighted[channel], _hits[hit], _momentaryFrames));
            }
        }

        ReadOnlySpan<double> PartOf(Span<double> samples, long hit, int frames)
        {
            var from = (int)Math.Clamp(hit - _frames, 0, samples.Length);
            return samples[from..(int)Math.Clamp(hit + frames - _frames, from, samples.Length)];
        }
    }

    private double PowerOf(PlaneSum[] window, int frames)
    {
        var power = 0.0;
        for (var channel = 0; channel < _weights.Count; channel++)
            power += _weights[channel] * window[channel].Value;
        return power / frames;
    }

    private Measurement Conclude(string measure)
    {
        if (_hits is null)
            return Measurement.None(measure, "nobody looked for the anchor's hits");
        if (_hits.Count == 0)
            return Measurement.None(measure, "the anchor does not hit here");
        switch (measure)
        {
            case LoudnessMeter.Integrated:
                return IntegratedLufs() is { } integrated ? new(measure, integrated) : Measurement.None(measure, TooSoft);
            case LoudnessMeter.MaxMomentary:
                return MaxMomentary(measure);
            case LoudnessMeter.TruePeak:
                return TruePeakOf(out var truePeakDbtp, out var place) ? new(measure, truePeakDbtp, AtFrame: place) : Measurement.None(measure, Silent);
            case LoudnessMeter.SamplePeak:
                return _samplePeak > 0 ? new(measure, Decibels.FromAmplitude(_samplePeak), AtFrame: _samplePeakFrame) : Measurement.None(measure, Silent);
            case LoudnessMeter.PeakToLoudness:
                return !TruePeakOf(out var peakDbtp, out _) ? Measurement.None(measure, Silent)
                    : IntegratedLufs() is { } loudness ? new(measure, peakDbtp - loudness) : Measurement.None(measure, TooSoft);
            case LoudnessMeter.Crest:
                return CrestOf(measure, 0, Silent);
            default:
                return CrestOf(measure, 1 + _bands.TakeWhile(known => known.Measure != measure).Count(), "there is nothing in the band above -200 dBFS at the anchor's hits");
        }
    }

    private const string Silent = "it is silent at the anchor's hits", TooSoft = "nothing at the anchor's hits is louder than the gate of -70 LUFS";

    private double? IntegratedLufs()
    {
        var windows = new LoudnessHistogram();
        foreach (var window in _windows)
            windows.Add(PowerOf(window, _windowFrames));
        return windows.Count > 0 ? windows.GatedLufs(IntegratedGateLu) : null;
    }

    private Measurement MaxMomentary(string measure)
    {
        var whole = Enumerable.Range(0, _hits!.Count).Where(hit => _hits[hit] + _momentaryFrames <= _frames).ToList();
        if (whole.Count == 0)
            return Measurement.None(measure, string.Create(CultureInfo.InvariantCulture, $"no hit comes {MomentarySeconds} s before the end"));
        var loudest = whole.MaxBy(hit => PowerOf(_momentaries[hit], _momentaryFrames));
        return PowerOf(_momentaries[loudest], _momentaryFrames) is > 0 and var power
            ? new(measure, LoudnessScale.LufsOf(power), AtFrame: _hits[loudest] + _momentaryFrames) : Measurement.None(measure, Silent);
    }

    private bool TruePeakOf(out double dbtp, out long frame)
    {
        var (peak, first) = (0.0, 0L);
        foreach (var detector in _truePeaks.Where(detector => detector.Peak > 0))
        {
            first = detector.Peak > peak ? detector.PeakFrame : detector.Peak == peak ? Math.Min(first, detector.PeakFrame) : first;
            peak = Math.Max(peak, detector.Peak);
        }

        (dbtp, frame) = (Decibels.FromAmplitude(peak), Math.Clamp(first, 0, Math.Max(0, _frames - 1)));
        return peak > 0;
    }

    private Measurement CrestOf(string measure, int band, string reason)
    {
        var (energy, count) = (0.0, 0L);
        foreach (var sum in _energies.AsSpan(band * _weights.Count, _weights.Count))
            (energy, count) = (energy + sum.Value, count + sum.Count);
        var meanSquare = count == 0 ? 0 : energy / count;
        return meanSquare > LeastMeanSquare
            ? new(measure, Decibels.FromAmplitude(_peaks[band]) - (Decibels.FromAmplitude(meanSquare) / 2)) : Measurement.None(measure, reason);
    }
}
