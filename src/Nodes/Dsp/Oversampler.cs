namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// Takes one plane to 2, 4 or 8 times its rate and back through linear-phase half-band filters, a stage for each doubling. Flat within 0.0001 dB from 0 to
/// <see cref="PassEdge"/> times the rate; what lies there has no image, and receives no folded one, above -<see cref="AttenuationDb"/> dB.
/// Between there and half the rate a half-band filter is on its way down, -6 dB at half the rate itself: that stretch is dulled, and takes in the mirror
/// image of the stretch as far above. Sample by sample it is the same whatever the blocks, and no sum depends on the lanes of the machine.
/// Use: write to <see cref="Entrance"/>, <see cref="Up"/>, read every <see cref="Raised"/> and write every <see cref="Bent"/> plane, <see cref="Down"/>.
/// </summary>
public sealed class Oversampler
{
    /// <summary>No block is longer.</summary>
    public const int MaxFrames = 256;

    /// <summary>How far down the filters stop.</summary>
    public const double AttenuationDb = 120;

    /// <summary>
    /// Up to where they are flat, as a fraction of the rate: 20.16 kHz at 48 kHz, 18.5 kHz at 44.1 kHz. A little more would cost much: 0.4535 (20 kHz at
    /// 44.1 kHz) takes 46 pairs of taps in the first stage, this 27.
    /// </summary>
    public const double PassEdge = 0.42;

    // The later the stage, the further away the next image, and the shorter its filter.
    private static readonly double[][] StageWeights =
    [
        HalfBand.Design(PassEdge / 2, AttenuationDb), HalfBand.Design(PassEdge / 4, AttenuationDb), HalfBand.Design(PassEdge / 8, AttenuationDb),
    ];

    private readonly int _factor;
    private readonly FoldedFilter[] _doubling;
    private readonly FoldedFilter[] _halving;

    // Going up, each line is written once: line 0 by the caller, line 2^stage + p with what a stage puts after the samples of its plane p.
    private readonly SampleLines _upper;

    // Going down, line 2^level - 1 + p has plane p at 2^level times the rate.
    private readonly SampleLines _lower;

    /// <summary>An oversampler at rest. It allocates nothing after this.</summary>
    /// <param name="factor">1, 2, 4 or 8; with 1 it only copies.</param>
    public Oversampler(int factor)
    {
        var stages = Stages(factor);
        _factor = factor;

        var (upperPast, lowerPast) = (new int[factor], new int[(2 * factor) - 1]);
        for (var stage = 0; stage <= stages; stage++)
        {
            for (var plane = 0; plane < 1 << stage; plane++)
            {
                var (line, delayFrames) = UpperLine(stage, plane);
                upperPast[line] = Math.Max(upperPast[line], delayFrames + (stage < stages ? Past(stage, isAfter: true) : 0));
                if (stage > 0)
                    lowerPast[LowerLine(stage, plane)] = plane % 2 == 0 ? Delay(stage - 1, isAfter: false) : Past(stage - 1, isAfter: false);
            }
        }

        _upper = new(upperPast, MaxFrames);
        _lower = new(lowerPast, MaxFrames);
        _doubling = [.. Enumerable.Range(0, stages).Select(Doubling)];
        _halving = [.. Enumerable.Range(0, stages).Select(Halving)];
    }

    /// <summary>How many frames a signal lies behind once it has gone up and down again.</summary>
    public static int LatencyFrames(int factor) =>
        Enumerable.Range(0, Stages(factor)).Sum(stage => Delay(stage, isAfter: true) + Delay(stage, isAfter: false));

    /// <summary>Where the next frames, at most <see cref="MaxFrames"/>, are to be written.</summary>
    public Span<double> Entrance(int frames) => _upper.Frames(0, frames);

    /// <summary>Takes the frames at the entrance up.</summary>
    public void Up(int frames)
    {
        for (var stage = 0; stage < _doubling.Length; stage++)
        {
            for (var plane = 0; plane < 1 << stage; plane++)
                _doubling[stage].Sum(plane, _upper.Frames((1 << stage) + plane, frames));
        }
    }

    /// <summary>A plane at the higher rate: plane 0 has every frame's first sample, plane 1 its second, and so on. To be read before <see cref="Down"/>.</summary>
    public ReadOnlySpan<double> Raised(int plane, int frames)
    {
        var (line, delayFrames) = UpperLine(_doubling.Length, plane);
        return _upper.Frames(line, frames, delayFrames);
    }

    /// <summary>Where the plane that goes down is to be written.</summary>
    public Span<double> Bent(int plane, int frames) => _lower.Frames(_factor - 1 + plane, frames);

    /// <summary>Back to the rate it came from.</summary>
    /// <param name="target">As many frames as went up.</param>
    public void Down(Span<double> target)
    {
        for (var stage = _halving.Length - 1; stage >= 0; stage--)
        {
            for (var plane = 0; plane < 1 << stage; plane++)
                _halving[stage].Sum(plane, _lower.Frames(LowerLine(stage, plane), target.Length));
        }

        _lower.Frames(0, target.Length).CopyTo(target);
        _upper.Advance(target.Length);
        _lower.Advance(target.Length);
    }

    private FoldedFilter Doubling(int stage)
    {
        var origins = new int[1 << stage];
        for (var plane = 0; plane < origins.Length; plane++)
        {
            var (line, delayFrames) = UpperLine(stage, plane);
            origins[plane] = _upper.Start(line) - delayFrames - Delay(stage, isAfter: true);
        }

        return new(StageWeights[stage], _upper.Samples, origins, isAfter: true, centres: []);
    }

    // The mean of the samples kept and of what the filter puts between those left out.
    private FoldedFilter Halving(int stage)
    {
        var (origins, centres) = (new int[1 << stage], new int[1 << stage]);
        for (var plane = 0; plane < origins.Length; plane++)
        {
            centres[plane] = _lower.Start(LowerLine(stage + 1, 2 * plane)) - Delay(stage, isAfter: false);
            origins[plane] = _lower.Start(LowerLine(stage + 1, (2 * plane) + 1)) - Delay(stage, isAfter: false);
        }

        return new([.. StageWeights[stage].Select(weight => 0.5 * weight)], _lower.Samples, origins, isAfter: false, centres);
    }

    private static int LowerLine(int level, int plane) => (1 << level) - 1 + plane;

    // A stage leaves the samples it was given as they are, but later: so an even plane is read from the line it was first written to.
    private static (int Line, int DelayFrames) UpperLine(int level, int plane)
    {
        var delayFrames = 0;
        for (; level > 0 && plane % 2 == 0; plane /= 2)
            delayFrames += Delay(--level, isAfter: true);
        return (level == 0 ? 0 : (1 << (level - 1)) + (plane / 2), delayFrames);
    }

    private static int Delay(int stage, bool isAfter) => FoldedFilter.DelayFrames(StageWeights[stage].Length, 1 << stage, isAfter);

    private static int Past(int stage, bool isAfter) => FoldedFilter.PastFrames(StageWeights[stage].Length, 1 << stage, isAfter);

    private static int Stages(int factor) => factor switch
    {
        1 => 0,
        2 => 1,
        4 => 2,
        8 => 3,
        _ => throw new ArgumentOutOfRangeException(nameof(factor), factor, "Oversampling is by 1, 2, 4 or 8."),
    };
}
