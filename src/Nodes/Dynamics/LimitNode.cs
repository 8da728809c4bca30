using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>What a limiter is asked to do.</summary>
/// <param name="CeilingDbtp">No point of the sound comes out higher.</param>
/// <param name="LookaheadMs">So long before a peak the gain begins to fall.</param>
/// <param name="ReleaseMs">Time to give back 63 % afterwards, whatever the programme.</param>
public sealed record LimitParameters(double CeilingDbtp, double LookaheadMs, double ReleaseMs)
{
    /// <summary>Names, bounds and defaults.</summary>
    public static LimitParameters Read(IParameterSource source) => new(
        source.Number(nameof(CeilingDbtp), min: -36, max: 0, otherwise: -1, "No point of the sound comes out higher, between samples neither."),
        source.Number(nameof(LookaheadMs), min: 1, max: 20, otherwise: 5, "So long before a peak the gain begins to fall; shorter is less heard on quiet parts and more on loud ones."),
        source.Number(nameof(ReleaseMs), min: 10, max: 2000, otherwise: 100, "Time to give back 63 % after a peak, the same for every programme."));
}

/// <summary>
/// Keeps a signal's true peak under a ceiling. The needed reduction is found eight times a sample, held and smoothed over the look-ahead, and applied to all channels alike. A gain that moves
/// changes what lies between samples a little, so a second, shorter stage looks at the result and takes what is left.
/// </summary>
public sealed class LimitNode(LimitParameters parameters) : INode, IFigureSource
{
    // Common practice, no source: what a reduction must be to count as one.
    private const double ActiveDb = 0.1;

    private const double SecondLookaheadMs = 1, SecondReleaseMs = 20;
    private const double PercentileStepDb = 0.01, Percentile = 95;

    // Aimed at below the ceiling: more than the second stage leaves behind.
    private const double MarginDb = 0.01;

    private readonly long[] _histogram = new long[10_000];
    private PeakStage[] _stages = [];
    private double[] _takenDb = [];
    private long _latencyLeft, _frames, _activeFrames;
    private double _deepestDb;

    /// <summary>The type.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "limit", version: 1,
        "Keeps the true peak under a ceiling: the gain falls ahead of each peak that would pass it and is given back after. What stays below leaves unchanged, bit for bit, and nothing is ever made louder. "
        + "Before it a gain makes a mix louder; mind the level at which you listen.",
        [Port.Input], LimitParameters.Read, parameters => new LimitNode(parameters));

    /// <inheritdoc/>
    public IReadOnlyList<Figure> Figures =>
    [
        new("deepestReductionDb", _deepestDb), new("reduction95Db", _frames == 0 ? null : ReductionAtPercentile()),
        new("activeFraction", _frames == 0 ? null : (double)_activeFrames / _frames),
    ];

    /// <inheritdoc/>
    public int LatencyFrames(int sampleRateHz) => StageAttacks(sampleRateHz).Sum(PeakStage.LatencyFrames);

    /// <inheritdoc/>
    public void Prepare(NodeFormat format)
    {
        var rate = format.SampleRateHz;
        var ceiling = Decibels.ToAmplitude(parameters.CeilingDbtp - MarginDb);
        _stages =
        [
            .. StageAttacks(rate).Select((attackFrames, stage) => new PeakStage(
                ceiling, attackFrames, (stage == 0 ? parameters.ReleaseMs : SecondReleaseMs) * rate / 1000, format.OutputChannels, format.MaxBlockFrames)),
        ];
        _takenDb = new double[format.MaxBlockFrames];
        _latencyLeft = LatencyFrames(rate);
        (_frames, _activeFrames, _deepestDb) = (0, 0, 0);
        Array.Clear(_histogram);
    }

    /// <inheritdoc/>
    public void Process(in Block block)
    {
        block.Input.CopyTo(block.Output);
        var takenDb = _takenDb.AsSpan(0, block.Frames);
        takenDb.Clear();
        foreach (var stage in _stages)
            stage.Process(block.Output, takenDb);
        Count(takenDb);
    }

    private void Count(ReadOnlySpan<double> takenDb)
    {
        // What comes out before the song is nobody's frame.
        var early = (int)Math.Min(_latencyLeft, takenDb.Length);
        _latencyLeft -= early;
        takenDb = takenDb[early..];
        _frames += takenDb.Length;
        var deepest = Peaks.Largest(takenDb);
        if (deepest == 0)
        {
            _histogram[0] += takenDb.Length;
            return;
        }

        _deepestDb = Math.Max(_deepestDb, deepest);
        _activeFrames += Peaks.CountAbove(takenDb, ActiveDb);
        foreach (var taken in takenDb)
            _histogram[(int)Math.Min(_histogram.Length - 1, taken / PercentileStepDb)]++;
    }

    /// <summary>Reached or passed in a twentieth of all frames; in hundredths of a decibel.</summary>
    private double ReductionAtPercentile()
    {
        var rank = _frames * (1 - (Percentile / 100));
        var step = _histogram.Length;
        for (var above = 0L; above <= rank && step > 0;)
            above += _histogram[--step];
        return step * PercentileStepDb;
    }

    private int[] StageAttacks(int sampleRateHz) =>
        [Frames(parameters.LookaheadMs, sampleRateHz), Frames(SecondLookaheadMs, sampleRateHz)];

    private static int Frames(double ms, int sampleRateHz) => Math.Max(2, (int)Math.Round(ms * sampleRateHz / 1000));
}
