using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Hits;

/// <summary>
/// Finds a part's hits: when each sets in, to the frame, and how strong it is. A stem is heard once, block by block, and memory grows with the hits only.
/// <list type="number">
/// <item><b>Where</b>: <see cref="SpectralFlux"/> of what lies below about 1.4 kHz peaks a few milliseconds around a stroke.</item>
/// <item><b>When</b>: <see cref="OnsetPlace"/> looks around there at the full rate for the frame at which the wave begins to bend.</item>
/// <item><b>How strong</b>: the peak of the low band (<see cref="LowBandHz"/> and below) within <see cref="StrengthMs"/> after it, over that of the part's loud strokes.</item>
/// </list>
/// Soft strokes count from <see cref="SoftestStrength"/> on, if they rise above the tail they fall into and their sound is made up like the loud ones': what is not is bleed.
/// Of strokes less than <see cref="ShortestGapMs"/> apart the strongest stands for all. Onsets are within 1 ms for half of all strokes, within 3 ms for 95 in 100 (measured
/// in <c>HitFinderTests</c>). The rules are our own but for what their classes name.
/// </summary>
public sealed class HitFinder
{
    /// <summary>Two strokes less far apart are one: a sixteenth at 300 beats a minute.</summary>
    public const double ShortestGapMs = 50;

    /// <summary>A stroke this much softer than the loud ones (-24 dB) is not one.</summary>
    public const double SoftestStrength = 0.06;

    /// <summary>Upper end of the band that strength is measured in.</summary>
    public const double LowBandHz = 150;

    /// <summary>How long after an onset its peak is looked for.</summary>
    public const double StrengthMs = 80;

    // So long after a flux peak the sound that shows its onset is there.
    private const double LookMs = 50;

    // A part that never gets louder than this in the low band has no hits: -80 dBFS.
    private const double SilenceAmplitude = 1e-4;

    // A candidate whose flux is this little of the largest so far can never count, so it is spared the closer look.
    private const double HopelessShare = 0.005;

    // From this strength on a candidate is a stroke. A softer one must rise above what was there before, and its sound must be made up like the loud strokes': as much of it in the
    // low band, give or take this factor. Otherwise it is another instrument's bleed.
    private const double SureStrength = 0.5, BleedRatio = 2.5;

    private readonly int _sampleRateHz;
    private readonly LowRate _lowRate;
    private readonly SectionCascade _lowBand;
    private readonly SpectralFlux _flux;
    private readonly History _frames, _lows;
    private readonly OnsetPlace _onset;
    private readonly double[] _mono, _centred, _completed;
    private readonly int _hopFrames;
    private readonly Queue<Peak> _waiting = new();
    private readonly List<Candidate> _candidates = new(256);
    private double? _offset;
    private double _largestFlux;
    private long _lastOnset = long.MinValue / 2;
    private Candidate? _open; // its peak not yet known

    /// <summary>For a stem of that rate.</summary>
    public HitFinder(int sampleRateHz)
    {
        _sampleRateHz = sampleRateHz;
        _lowRate = new(sampleRateHz);
        _lowBand = new([.. SectionDesign.LowPass(LowBandHz, 12, Alignment.Butterworth, _lowRate.RateHz), SectionDesign.HighPass(20, 0.7, _lowRate.RateHz)]);
        _flux = new();
        _hopFrames = SpectralFlux.HopSamples * _lowRate.Factor;
        _frames = new(Frames(400));
        _onset = new(_frames, sampleRateHz);
        _lows = new((int)(0.4 * _lowRate.RateHz));
        (_mono, _centred, _completed) = (new double[_hopFrames], new double[_hopFrames], new double[_lowRate.MostSamples(_hopFrames)]);
    }

    /// <summary>So long after an onset it is among the candidates, if it ever will be.</summary>
    internal const double SettledMs = 300;

    /// <summary>Onsets found so far; some of them will turn out to be no hits.</summary>
    internal int CandidateCount => _candidates.Count;

    /// <summary>One of them: they are in order.</summary>
    internal long CandidateFrame(int index) => _candidates[index].Frame;

    /// <summary>Takes the next block of the stem, of any length.</summary>
    public void Add(Signal block)
    {
        for (var start = 0; start < block.Frames;)
        {
            var count = (int)Math.Min(_hopFrames - (_frames.Count % _hopFrames), block.Frames - start);
            AddWithinHop(block.Slice(start, count));
            start += count;
        }
    }

    /// <summary>Ends the stem and gives its hits in order. An empty list is an answer.</summary>
    public IReadOnlyList<Hit> Finish()
    {
        var endFrame = _frames.Count;
        if (endFrame == 0)
            return [];

        // What was found last still waits for the sound after it: the last sample goes on, for a step to 0 would be one more onset.
        var last = Signal.Allocate(1, Frames(StrengthMs + (3 * LookMs)) + _hopFrames);
        last[0].Fill(_frames[endFrame - 1] + _offset!.Value);
        Add(last);
        _candidates.RemoveAll(candidate => candidate.Frame >= endFrame);
        return Chosen();
    }

    private int Frames(double milliseconds) => (int)(milliseconds * _sampleRateHz / 1000);

    private void AddWithinHop(Signal part)
    {
        // A stem may begin anywhere but at 0, with an offset say: that is no onset.
        var mono = Mono.Of(part, _mono);
        _offset ??= mono[0];
        var centred = _centred.AsSpan(0, mono.Length);
        var offset = _offset.Value;
        for (var frame = 0; frame < centred.Length && frame < mono.Length; frame++)
            centred[frame] = mono[frame] - offset;

        _frames.Add(centred);
        var low = _completed.AsSpan(0, _lowRate.Process(centred, _completed));
        if (_flux.Take(low) is { } peak)
            _waiting.Enqueue(peak);
        _lowBand.Process(_lows.Count, low, low);
        _lows.Add(low);

        while (_waiting.TryPeek(out var first) && FrameOf(first.Sample) + Frames(LookMs) < _frames.Count)
        {
            _waiting.Dequeue();
            Look(first);
        }

        if (_open is { } open && open.Frame + Frames(StrengthMs + LookMs) < _frames.Count)
            Close(open, open.Frame + Frames(StrengthMs));
    }

    private long FrameOf(double lowSample) => (long)((lowSample * _lowRate.Factor) - _lowRate.LagFrames);

    private void Look(Peak peak)
    {
        _largestFlux = Math.Max(_largestFlux, peak.Flux);
        if (peak.Flux < HopelessShare * _largestFlux || _onset.Near(FrameOf(peak.Sample), _lastOnset) is not { } onset)
            return;
        if (_open is { } open)
            Close(open, Math.Min(onset, open.Frame + Frames(StrengthMs)));
        _lastOnset = onset;
        _open = new(onset, 0, 0, peak.LowShare);
    }

    // A stroke's peak lies before the next stroke. What was there before is looked at over half a period of 20 Hz.
    private void Close(Candidate open, long endFrame)
    {
        _open = null;
        var start = LowSample(open.Frame);
        var amplitude = _lows.Peak(start, LowSample(endFrame));
        if (amplitude >= SilenceAmplitude)
            _candidates.Add(open with { Amplitude = amplitude, Before = _lows.Peak(start - (long)(0.025 * _lowRate.RateHz), start) });
    }

    private long LowSample(long frame) => (long)((frame + _lowRate.LagFrames) / _lowRate.Factor);

    private List<Hit> Chosen()
    {
        if (_candidates.Count == 0)
            return [];
        var loud = LoudStrokes.Of(_candidates.ConvertAll(candidate => candidate.Amplitude));
        var loudShare = LoudStrokes.MedianOf([.. _candidates.Where(candidate => candidate.Amplitude >= loud / 2).Select(candidate => candidate.LowShare)]);
        var hits = new List<Hit>();
        foreach (var candidate in _candidates.Where(candidate => candidate.Amplitude >= SureStrength * loud || IsSoftStroke(candidate, loud, loudShare)))
        {
            var hit = new Hit(candidate.Frame, Math.Min(Math.Round(100 * candidate.Amplitude / loud) / 100, Hit.MaxStrength));
            if (hits.Count > 0 && hit.Frame - hits[^1].Frame < Frames(ShortestGapMs))
                hits[^1] = hit.Strength > hits[^1].Strength ? hit : hits[^1];
            else
                hits.Add(hit);
        }

        return hits;
    }

    private static bool IsSoftStroke(Candidate candidate, double loud, double loudShare)
    {
        var rise = Math.Sqrt(Math.Max(0, (candidate.Amplitude * candidate.Amplitude) - (candidate.Before * candidate.Before)));
        return rise >= SoftestStrength * loud && candidate.LowShare >= loudShare / BleedRatio && candidate.LowShare <= loudShare * BleedRatio;
    }

    /// <param name="Frame">Its onset.</param>
    /// <param name="Amplitude">Peak of the low band after it.</param>
    /// <param name="Before">Peak of the low band just before it.</param>
    /// <param name="LowShare">Share of the low band in what sets in.</param>
    private readonly record struct Candidate(long Frame, double Amplitude, double Before, double LowShare);
}
