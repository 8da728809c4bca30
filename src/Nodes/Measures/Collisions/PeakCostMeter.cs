using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Collisions;

/// <summary>What a part costs the mix at the anchor's hits, in one pass with the render: the figure of <see cref="HitPeaks"/>, of the parts as they are heard. Memory is two numbers a hit.</summary>
public sealed class PeakCostMeter : IMeter
{
    private const string PeakCost = "peakCostDb";

    private MeterAnchor? _anchor;
    private bool _isInMix;
    private long _frames;
    private int _beforeFrames, _afterFrames, _firstHit;
    private double[] _peaks = [], _without = [];
    private double[] _less = [];

    /// <summary>The type.</summary>
    public static MeterType Type { get; } = new(
        "peakCost", [MeterPort.Mix, MeterPort.PartOfMix],
        [new(PeakCost, "By how much the mix peaks higher at the anchor's hits than it would without this part: the median over its hits; below 0 if the part takes from the peak.") { AtHits = AnchorMeter.Always }],
        _ => new PeakCostMeter()) { NeedsAnchor = true };

    /// <inheritdoc/>
    public void Prepare(MeterFormat format)
    {
        (_anchor, _isInMix, _frames, _firstHit) = (format.Anchor, format.IsInMix, 0, 0);
        _beforeFrames = (int)(HitPeaks.BeforeSeconds * format.SampleRateHz);
        _afterFrames = (int)(HitPeaks.AfterSeconds * format.SampleRateHz);
        var hits = _anchor?.HitFrames?.Count ?? 0;
        (_peaks, _without) = (new double[hits], new double[hits]);
        _less = new double[format.MaxBlockFrames];
    }

    /// <inheritdoc/>
    public void Hear(ReadOnlySpan<Signal> heard)
    {
        var (mix, part) = (heard[0], heard[1]);
        var end = _frames + mix.Frames;
        while (_firstHit < _peaks.Length && _anchor!.HitFrames![_firstHit] + _afterFrames <= _frames)
            _firstHit++;
        for (var hit = _firstHit; hit < _peaks.Length && _anchor!.HitFrames![hit] - _beforeFrames < end; hit++)
        {
            var from = (int)Math.Max(0, _anchor.HitFrames[hit] - _beforeFrames - _frames);
            var count = (int)Math.Min(mix.Frames, _anchor.HitFrames[hit] + _afterFrames - _frames) - from;
            for (var channel = 0; channel < mix.Channels; channel++)
            {
                var sum = mix[channel].Slice(from, count);
                var own = part[Math.Min(channel, part.Channels - 1)].Slice(from, count);
                _peaks[hit] = Peaks.Largest(sum, _peaks[hit]);
                sum.CopyTo(_less);
                Planes.AddScaled(own, -1, _less.AsSpan(0, count));
                _without[hit] = Peaks.Largest(_less.AsSpan(0, count), _without[hit]);
            }
        }

        _frames = end;
    }

    /// <inheritdoc/>
    public IReadOnlyList<Measurement> Conclude()
    {
        if (_anchor?.HitFrames is not { } hits)
            return [Measurement.None(PeakCost, "nobody looked for the anchor's hits")];
        if (hits.Count == 0)
            return [Measurement.None(PeakCost, "the anchor does not hit here")];
        if (!_isInMix)
            return [Measurement.None(PeakCost, "it is not heard in the mix")];
        var costs = Enumerable.Range(0, hits.Count).Select(hit => (Hit: hit, Db: HitPeaks.CostDb(_peaks[hit], _without[hit]))).Where(cost => cost.Db is not null).ToList();
        return HitFigures.Median(costs.Select(cost => cost.Db!.Value)) is { } median
            ? [new(PeakCost, median, AtFrame: hits[costs.MaxBy(cost => cost.Db)!.Hit])]
            : [Measurement.None(PeakCost, "the mix has nothing else at the anchor's hits")];
    }
}
