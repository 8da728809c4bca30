using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Hits;

namespace RenderGraph.Nodes.Measures.Pitch;

/// <summary>The tones that a part's hits settle on, by the rules of <see cref="DominantFrequencyFinder"/>. Hears the part block by block, and keeps only its last moments.</summary>
internal sealed class HitTones
{
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
    private readonly double[] _scratch = new double[BlockFrames], _completed, _settled;
    private long _count;

    /// <param name="lateMs">How long after a hit could have faded it may still be asked for.</param>
    public HitTones(int sampleRateHz, double lateMs = 0)
    {
        _framesPerMs = sampleRateHz / 1000.0;
        _lowRate = new(sampleRateHz);
        _spectrum = new(_lowRate.RateHz);
        _lows = new((int)(_lowRate.RateHz * (DominantFrequencyFinder.ToMs + lateMs) / 1000) + (2 * _lowRate.MostSamples(BlockFrames)));
        _completed = new double[_lowRate.MostSamples(BlockFrames)];
        _settled = new double[(int)(_lowRate.RateHz * DominantFrequencyFinder.ToMs / 1000)];
    }

    /// <summary>Frames heard.</summary>
    public long HeardFrames => _count;

    /// <summary>The longest that one call of <see cref="Add"/> may be.</summary>
    public int MostFrames => (int)(BlockFrames - (_count % BlockFrames));

    /// <summary>Takes the next frames, at most <see cref="MostFrames"/>.</summary>
    public void Add(Signal part)
    {
        _lows.Add(_completed.AsSpan(0, _lowRate.Process(Mono.Of(part, _scratch), _completed)));
        _count += part.Frames;
    }

    /// <summary>Whether all has been heard that belongs to a hit.</summary>
    /// <param name="nextFrame">The next hit's onset; null if there is none so near that it matters.</param>
    public bool IsHeard(long frame, long? nextFrame) => LowSample(EndFrame(frame, nextFrame)) <= _lows.Count;

    /// <summary>The tone that a hit settles on, of what has been heard so far; null if there is none.</summary>
    /// <inheritdoc cref="IsHeard"/>
    public Tone? Of(long frame, long? nextFrame)
    {
        var (onset, from) = (LowSample(frame), LowSample(frame + (DominantFrequencyFinder.FromMs * _framesPerMs)));
        var end = Math.Min(LowSample(EndFrame(frame, nextFrame)), _lows.Count);
        var faded = FadedShare * _lows.Peak(onset, end);
        while (end > from && Math.Abs(_lows[end - 1]) <= faded)
            end--;
        if (ToneOf(from, end, DominantFrequencyFinder.ShortestMs) is not { } tone)
            return null;
        while (ToneOf(from += Samples(DominantFrequencyFinder.FromMs), end, DominantFrequencyFinder.LongMs) is { } later
            && Math.Abs(later.FrequencyHz - tone.FrequencyHz) > DominantFrequencyFinder.StillMoving * tone.FrequencyHz)
        {
            tone = later;
        }

        return tone;
    }

    /// <summary>What the tones of all hits together say; null of none.</summary>
    public static DominantFrequency? Together(IReadOnlyList<Tone> tones)
    {
        if (tones.Count == 0)
            return null;
        var energy = tones.Sum(tone => tone.Energy);
        var frequencyHz = EnergyMedian(tone => tone.FrequencyHz);
        var spreadHz = EnergyMedian(tone => Math.Abs(tone.FrequencyHz - frequencyHz));
        var near = tones.Where(tone => tone.FrequencyHz <= frequencyHz * QuarterTone && tone.FrequencyHz >= frequencyHz / QuarterTone).Sum(tone => tone.Energy) / energy;
        var purity = tones.Sum(tone => tone.Energy * tone.Purity) / energy;
        var confidence = near * purity * tones.Count / (tones.Count + 1.0);
        return new(Math.Round(10 * frequencyHz) / 10, Math.Round(10 * spreadHz) / 10, Math.Round(100 * confidence) / 100, tones.Count);

        double EnergyMedian(Func<Tone, double> value)
        {
            var below = 0.0;
            return tones.OrderBy(value).Select(tone => (Value: value(tone), Below: below += tone.Energy)).First(tone => tone.Below >= energy / 2).Value;
        }
    }

    private long LowSample(double frame) => (long)((frame + _lowRate.LagFrames) / _lowRate.Factor);

    private double EndFrame(long frame, long? nextFrame) => Math.Min(
        frame + (DominantFrequencyFinder.ToMs * _framesPerMs), nextFrame is { } next ? next - (BeforeNextMs * _framesPerMs) : double.PositiveInfinity);

    private Tone? ToneOf(long from, long end, double leastMs)
    {
        if (end - from < Samples(leastMs))
            return null;
        var settled = _settled.AsSpan(0, (int)(end - from));
        _lows.CopyTo(from, settled);
        return _spectrum.StrongestTone(settled);
    }

    private int Samples(double milliseconds) => (int)(milliseconds * _lowRate.RateHz / 1000);
}
