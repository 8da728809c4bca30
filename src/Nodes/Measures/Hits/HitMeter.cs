using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.Pitch;

namespace RenderGraph.Nodes.Measures.Hits;

/// <summary>
/// The hits of a signal and the note that they settle on: what <see cref="HitFinder"/> and <see cref="DominantFrequencyFinder"/> say, in one pass with the render. Which onsets are hits is only known
/// at the end, so the tone of every onset is kept, once for each onset after it that might be the next hit: a few numbers an onset.
/// </summary>
/// <param name="measures">The names of those that are wanted.</param>
/// <param name="atHits">Whether the note is the one that is heard at the anchor's hits.</param>
public sealed class HitMeter(IReadOnlySet<string> measures, bool atHits) : IMeter
{
    private const string HitCount = "hitCount", Frequency = "dominantFrequencyHz", Confidence = "dominantFrequencyConfidence";

    private readonly bool _hasTones = measures.Overlaps([Frequency, Confidence]);
    private readonly Dictionary<(long Frame, long Next), Tone> _toneOf = new(512);

    private HitFinder? _finder;
    private HitTones _tones = null!;
    private IReadOnlyList<long>? _anchorHits;
    private double _framesPerMs;
    private int _next;

    /// <summary>The type.</summary>
    public static MeterType Type { get; } = new(
        "hits", [MeterPort.Measured],
        [
            new(HitCount, "How many hits are found in it.") { NotAtHits = "it counts the hits of the signal itself" },
            new(Frequency, "The low note that its hits settle on, from 20 to 300 Hz, on a step of 0.1 Hz.") { AtHits = "The low note that is heard from 80 ms after the anchor's hits on." },
            new(Confidence, "How sure that note is: 0, the hits do not agree, to 1.") { AtHits = "How sure that note is." },
        ],
        wanted => new HitMeter(wanted, atHits: false)) { IsUsual = false, IsOfLowEnd = true, CreateAtHits = wanted => new HitMeter(wanted, atHits: true) };

    /// <inheritdoc/>
    public void Prepare(MeterFormat format)
    {
        _finder = atHits ? null : new(format.SampleRateHz);
        _tones = new(format.SampleRateHz, HitFinder.SettledMs);
        _anchorHits = format.Anchor?.HitFrames;
        (_framesPerMs, _next) = (format.SampleRateHz / 1000.0, 0);
        _toneOf.Clear();
    }

    /// <inheritdoc/>
    public void Hear(ReadOnlySpan<Signal> heard)
    {
        for (var start = 0; start < heard[0].Frames;)
        {
            var part = heard[0].Slice(start, Math.Min(_tones.MostFrames, heard[0].Frames - start));
            start += part.Frames;
            _finder?.Add(part);
            if (!_hasTones)
                continue;
            _tones.Add(part);

            // Every onset that could be the next hit is known by then.
            while (_next < OnsetCount && Onset(_next) + ((DominantFrequencyFinder.ToMs + HitFinder.SettledMs) * _framesPerMs) <= _tones.HeardFrames)
                Look(_next++);
        }
    }

    /// <inheritdoc/>
    public IReadOnlyList<Measurement> Conclude()
    {
        var hits = _finder?.Finish().Select(hit => hit.Frame).ToList() ?? _anchorHits ?? [];
        while (_hasTones && _next < OnsetCount)
            Look(_next++);
        var tones = new List<(long Frame, Tone Tone)>();
        for (var hit = 0; hit < hits.Count; hit++)
        {
            var next = hit + 1 < hits.Count && IsNear(hits[hit], hits[hit + 1]) ? hits[hit + 1] : -1;
            if (_toneOf.TryGetValue((hits[hit], next), out var tone))
                tones.Add((hits[hit], tone));
        }

        var dominant = HitTones.Together([.. tones.Select(tone => tone.Tone)]);
        return [.. Type.Measures.Where(measure => measures.Contains(measure.Name)).Select(measure => Conclude(measure.Name, hits.Count, tones, dominant))];
    }

    private int OnsetCount => _finder?.CandidateCount ?? _anchorHits?.Count ?? 0;

    private long Onset(int index) => _finder?.CandidateFrame(index) ?? _anchorHits![index];

    private bool IsNear(long frame, long next) => next - frame <= (DominantFrequencyFinder.ToMs + 10) * _framesPerMs;

    private void Look(int index)
    {
        var frame = Onset(index);
        if (_tones.Of(frame, null) is { } free)
            _toneOf[(frame, -1)] = free;
        for (var other = index + 1; other < OnsetCount && IsNear(frame, Onset(other)); other++)
        {
            if (_tones.Of(frame, Onset(other)) is { } tone)
                _toneOf[(frame, Onset(other))] = tone;
        }
    }

    private Measurement Conclude(string measure, int hitCount, List<(long Frame, Tone Tone)> tones, DominantFrequency? dominant)
    {
        if (measure == HitCount)
            return new(measure, hitCount);
        if (atHits && _anchorHits is null)
            return Measurement.None(measure, "nobody looked for the anchor's hits");
        if (hitCount == 0)
            return Measurement.None(measure, atHits ? "the anchor does not hit here" : "no hit is found in it");
        if (dominant is null)
            return Measurement.None(measure, FormattableString.Invariant($"after none of {hitCount} hits a tone can be heard by itself"));

        // Where it is furthest from the others.
        var place = tones.MaxBy(tone => Math.Abs(tone.Tone.FrequencyHz - dominant.FrequencyHz)).Frame;
        return new(measure, measure == Frequency ? dominant.FrequencyHz : dominant.Confidence, AtFrame: place);
    }
}
