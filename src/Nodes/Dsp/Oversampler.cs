namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// Takes one plane to 2, 4 or 8 times its rate and back through linear-phase half-band filters, a stage for each doubling. Flat within 0.0001 dB from 0 to
/// 0.4535 times the rate (20 kHz at 44.1 kHz, 21.77 kHz at 48 kHz); what lies there has no image, and receives no folded one, above -<see cref="AttenuationDb"/> dB.
/// Between there and half the rate a half-band filter is on its way down, -6 dB at half the rate itself: that stretch is dulled, and takes in the mirror
/// image of the stretch as far above. Sample by sample it is the same whatever the blocks, and no sum depends on the lanes of the machine.
/// </summary>
public sealed class Oversampler
{
    /// <summary>No block is longer.</summary>
    public const int MaxFrames = 256;

    /// <summary>How far down the filters stop.</summary>
    public const double AttenuationDb = 120;

    private const double PassEdge = 20000.0 / 44100;

    // The later the stage, the further away the next image, and the shorter its filter.
    private static readonly double[][] StageWeights =
    [
        HalfBand.Design(PassEdge / 2, AttenuationDb), HalfBand.Design(PassEdge / 4, AttenuationDb), HalfBand.Design(PassEdge / 8, AttenuationDb),
    ];

    private readonly int _factor;
    private readonly FoldedFilter[] _doubling;
    private readonly FoldedFilter[] _halving;
    private readonly DelayLine[][] _through;
    private readonly double[] _planes;
    private readonly double[] _spare;
    private readonly double[] _throughFrames = new double[MaxFrames];
    private readonly double[] _betweenFrames = new double[MaxFrames];

    /// <summary>An oversampler at rest. It allocates nothing after this.</summary>
    /// <param name="factor">1, 2, 4 or 8; with 1 it only copies.</param>
    public Oversampler(int factor)
    {
        var stages = Stages(factor);
        _factor = factor;
        _doubling = [.. Enumerable.Range(0, stages).Select(stage => new FoldedFilter(StageWeights[stage], 1 << stage, isAfter: true, MaxFrames))];
        _halving = [.. Enumerable.Range(0, stages).Select(stage => new FoldedFilter(StageWeights[stage], 1 << stage, isAfter: false, MaxFrames))];
        _through =
        [
            .. _halving.Select((filter, stage) => Enumerable.Range(0, 1 << stage).Select(_ => new DelayLine(filter.DelayFrames)).ToArray()),
        ];
        _planes = new double[factor * MaxFrames];
        _spare = new double[factor * MaxFrames];
    }

    /// <summary>How many frames a signal lies behind once it has gone up and down again.</summary>
    public static int LatencyFrames(int factor)
    {
        var frames = 0;
        for (var stage = 0; stage < Stages(factor); stage++)
        {
            frames += FoldedFilter.Delay(StageWeights[stage].Length, 1 << stage, isAfter: true)
                + FoldedFilter.Delay(StageWeights[stage].Length, 1 << stage, isAfter: false);
        }

        return frames;
    }

    /// <summary>
    /// The next frames at the higher rate, as planes: first every frame's first sample, then every frame's second, and so on. They may be worked on in place
    /// and are valid until the next call.
    /// </summary>
    /// <param name="source">At most <see cref="MaxFrames"/>.</param>
    public Span<double> Up(ReadOnlySpan<double> source)
    {
        var frames = source.Length;
        var (current, next) = (_planes, _spare);
        source.CopyTo(current);
        for (var stage = 0; stage < _doubling.Length; stage++)
        {
            var filter = _doubling[stage];
            for (var plane = 0; plane < 1 << stage; plane++)
                current.AsSpan(plane * frames, frames).CopyTo(filter.Newest(plane, frames));
            for (var plane = 0; plane < 1 << stage; plane++)
            {
                filter.Aligned(plane, frames).CopyTo(next.AsSpan(2 * plane * frames, frames));
                filter.Sum(plane, next.AsSpan(((2 * plane) + 1) * frames, frames));
            }

            filter.Advance(frames);
            (current, next) = (next, current);
        }

        return current.AsSpan(0, _factor * frames);
    }

    /// <summary>Back to the rate it came from.</summary>
    /// <param name="planes">What <see cref="Up"/> gave, or as much of the same kind. Overwritten.</param>
    /// <param name="target">As many frames as went up.</param>
    public void Down(Span<double> planes, Span<double> target)
    {
        var frames = target.Length;
        var through = _throughFrames.AsSpan(0, frames);
        var between = _betweenFrames.AsSpan(0, frames);
        for (var stage = _halving.Length - 1; stage >= 0; stage--)
        {
            var filter = _halving[stage];
            for (var plane = 0; plane < 1 << stage; plane++)
                planes.Slice(((2 * plane) + 1) * frames, frames).CopyTo(filter.Newest(plane, frames));

            // What plane p held has been taken in by then: the odd planes just now, an even one at its turn, which comes no later.
            for (var plane = 0; plane < 1 << stage; plane++)
            {
                _through[stage][plane].Process(planes.Slice(2 * plane * frames, frames), through);
                filter.Sum(plane, between);
                var result = planes.Slice(plane * frames, frames);
                for (var frame = 0; frame < result.Length; frame++)
                    result[frame] = 0.5 * (through[frame] + between[frame]);
            }

            filter.Advance(frames);
        }

        planes[..frames].CopyTo(target);
    }

    private static int Stages(int factor) => factor switch
    {
        1 => 0,
        2 => 1,
        4 => 2,
        8 => 3,
        _ => throw new ArgumentOutOfRangeException(nameof(factor), factor, "Oversampling is by 1, 2, 4 or 8."),
    };
}
