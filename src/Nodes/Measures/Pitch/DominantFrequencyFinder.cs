using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Hits;

namespace RenderGraph.Nodes.Measures.Pitch;

/// <summary>
/// Finds where the low note of a part's hits sits. A stem is heard once more, its hits being known, and memory grows with the hits only.
/// <list type="number">
/// <item>A hit's tone is what <see cref="LowSpectrum"/> sees from <see cref="FromMs"/> after its onset, when the sweep that a drum begins with is over, until it has faded by 30 dB, the next
/// hit comes, or <see cref="ToMs"/> have passed. Hits with less than <see cref="ShortestMs"/> of that are left out.</item>
/// <item>A slow sweep may go on: as long as <see cref="LongMs"/> are left and the tone is another by <see cref="StillMoving"/> if it is looked at that much later again, the later one counts.</item>
/// <item>The answer is the median over the hits, each counted by the energy of its tone.</item>
/// </list>
/// The confidence is the product of three shares: how much of that energy lies within a quarter of a tone of the answer, how much of the low end the tones make up, and n / (n + 1) for n hits.
/// Kicks whose truth is known are met within 0.5 Hz (<c>DominantFrequencyFinderTests</c>). The rules are our own.
/// </summary>
public sealed class DominantFrequencyFinder
{
    /// <summary>Where a hit's settled part begins, after its onset.</summary>
    public const double FromMs = 80;

    /// <summary>Where it ends at the latest.</summary>
    public const double ToMs = 600;

    /// <summary>Less than this says nothing: one period of 20 Hz.</summary>
    public const double ShortestMs = 50;

    /// <summary>So much must be left to look again later.</summary>
    public const double LongMs = 200;

    /// <summary>Share of itself by which a tone differs that still sweeps.</summary>
    public const double StillMoving = 0.005;

    // An onset is found a little late, and a hit sounds a little before it.
    private const double BeforeNextMs = 5;

    // What is left of a hit that has faded by 30 dB.
    private const double FadedShare = 0.0316;

    // A quarter of a tone up is this factor.
    private const double QuarterTone = 1.0293;

    private const int BlockFrames = 4096;

    private readonly double _framesPerMs;
    private readonly LowRate _lowRate;
    private readonly LowSpectrum _spectrum;
    private readonly History _lows;
    private readonly IReadOnlyList<Hit> _hits;
    private readonly double[] _scratch = new double[BlockFrames], _completed, _settled;
    private readonly List<Tone> _tones = [];
    private long _count;
    private int _next;

    /// <summary>For a stem of that rate.</summary>
    /// <param name="hits">Its hits, by the stem's frames.</param>
    public DominantFrequencyFinder(int sampleRateHz, IReadOnlyList<Hit> hits)
    {
        (_framesPerMs, _hits) = (sampleRateHz / 1000.0, hits);
        _lowRate = new(sampleRateHz);
        _spectrum = new(_lowRate.RateHz);
        _lows = new((int)(_lowRate.RateHz * ToMs / 1000) + (2 * _lowRate.MostSamples(BlockFrames)));
        _completed = new double[_lowRate.MostSamples(BlockFrames)];
        _settled = new double[(int)(_lowRate.RateHz * ToMs / 1000)];
    }

    /// <summary>Takes the next block of the stem, of any length.</summary>
    public void Add(Signal block)
    {
        for (var start = 0; start < block.Frames;)
        {
            var count = (int)Math.Min(BlockFrames - (_count % BlockFrames), block.Frames - start);
            var part = block.Slice(start, count);
            _lows.Add(_completed.AsSpan(0, _lowRate.Process(Mono.Of(part, _scratch), _completed)));
            (start, _count) = (start + count, _count + count);
            while (_next < _hits.Count && LowSample(EndFrame(_next)) <= _lows.Count)
                Look(_next++);
        }
    }

    /// <summary>Ends the stem. Null if there is no hit after which a tone can be heard.</summary>
    public DominantFrequency? Finish()
    {
        while (_next < _hits.Count)
            Look(_next++);
        if (_tones.Count == 0)
            return null;

        var energy = _tones.Sum(tone => tone.Energy);
        var frequencyHz = EnergyMedian(tone => tone.FrequencyHz);
        var spreadHz = EnergyMedian(tone => Math.Abs(tone.FrequencyHz - frequencyHz));
        var near = _tones.Where(tone => tone.FrequencyHz <= frequencyHz * QuarterTone && tone.FrequencyHz >= frequencyHz / QuarterTone).Sum(tone => tone.Energy) / energy;
        var purity = _tones.Sum(tone => tone.Energy * tone.Purity) / energy;
        var confidence = near * purity * _tones.Count / (_tones.Count + 1.0);
        return new(Math.Round(10 * frequencyHz) / 10, Math.Round(10 * spreadHz) / 10, Math.Round(100 * confidence) / 100, _tones.Count);

        double EnergyMedian(Func<Tone, double> value)
        {
            var below = 0.0;
            return _tones.OrderBy(value).Select(tone => (Value: value(tone), Below: below += tone.Energy)).First(tone => tone.Below >= energy / 2).Value;
        }
    }

    private long LowSample(double frame) => (long)((frame + _lowRate.LagFrames) / _lowRate.Factor);

    private double EndFrame(int hit) => Math.Min(
        _hits[hit].Frame + (ToMs * _framesPerMs), hit + 1 < _hits.Count ? _hits[hit + 1].Frame - (BeforeNextMs * _framesPerMs) : double.PositiveInfinity);

    private void Look(int hit)
    {
        var (onset, from, end) = (LowSample(_hits[hit].Frame), LowSample(_hits[hit].Frame + (FromMs * _framesPerMs)), Math.Min(LowSample(EndFrame(hit)), _lows.Count));
        var faded = FadedShare * _lows.Peak(onset, end);
        while (end > from && Math.Abs(_lows[end - 1]) <= faded)
            end--;
        if (ToneOf(from, end, ShortestMs) is not { } tone)
            return;
        while (ToneOf(from += Samples(FromMs), end, LongMs) is { } later && Math.Abs(later.FrequencyHz - tone.FrequencyHz) > StillMoving * tone.FrequencyHz)
            tone = later;
        _tones.Add(tone);
    }

    private Tone? ToneOf(long from, long end, double leastMs)
    {
        if (end - from < Samples(leastMs))
            return null;
        var settled = _settled.AsSpan(0, (int)(end - from));
        for (var index = 0; index < settled.Length; index++)
            settled[index] = _lows[from + index];
        return _spectrum.StrongestTone(settled);
    }

    private int Samples(double milliseconds) => (int)(milliseconds * _lowRate.RateHz / 1000);
}
