using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// What a plane's sound reaches between its samples: seven points between each sample and the next, through linear-phase half-band filters, flat to
/// <see cref="PassEdge"/> times the rate (20 kHz at 44.1 kHz). ITU-R BS.1770-5, Annex 2, asks for four times the rate at least; of a sine at half the rate the highest point of eight
/// reads at most 0.17 dB low, at a quarter 0.04 dB. Stretches that cannot matter need not be worked out: see <see cref="Bounds"/>.
/// </summary>
internal sealed class TruePeakInterpolator
{
    /// <summary>Points for each sample, itself among them.</summary>
    public const int Factor = 8;

    /// <summary>No stretch is longer.</summary>
    public const int MaxFrames = 64;

    /// <summary>Up to where the filters are flat, as a fraction of the rate.</summary>
    public const double PassEdge = 0.4535;

    /// <summary>How far down they stop.</summary>
    public const double AttenuationDb = 90;

    private static readonly double[][] Weights =
    [
        HalfBand.Design(PassEdge / 2, AttenuationDb), HalfBand.Design(PassEdge / 4, AttenuationDb), HalfBand.Design(PassEdge / 8, AttenuationDb),
    ];

    // How far each stage reaches, in frames: stage s works on 2^s points a frame.
    private static readonly int[] Before = [.. Enumerable.Range(0, 3).Select(stage => (Weights[stage].Length - 1 + (1 << stage) - 1) >> stage)];
    private static readonly int[] After = [.. Enumerable.Range(0, 3).Select(stage => (Weights[stage].Length + (1 << stage) - 1) >> stage)];

    private readonly double[] _samples;
    private readonly int[] _starts;
    private readonly int[] _lengths;
    private readonly FoldedFilter[] _stages;

    /// <summary>An interpolator. It keeps nothing from one stretch to the next and allocates nothing after this.</summary>
    public TruePeakInterpolator()
    {
        // Lines: the samples; the halves; the quarters; the eighths. Each starts as early as the stages after it reach back.
        var quarterFrames = Whole(MaxFrames + Before[2] + After[2]);
        var halfFrames = Whole(quarterFrames + Before[1] + After[1]);
        var sampleFrames = halfFrames + Before[0] + After[0];
        _lengths = [sampleFrames, halfFrames, quarterFrames, quarterFrames, MaxFrames, MaxFrames, MaxFrames, MaxFrames];
        _starts = new int[_lengths.Length];
        for (var line = 1; line < _starts.Length; line++)
            _starts[line] = _starts[line - 1] + _lengths[line - 1];
        _samples = new double[_starts[^1] + _lengths[^1]];

        var (samples, halves) = (_starts[0] + Before[0], _starts[1]);
        var (laterSamples, laterHalves) = (samples + Before[1], halves + Before[1]);
        _stages =
        [
            new(Weights[0], _samples, [samples], isAfter: true, []),
            new(Weights[1], _samples, [laterSamples, laterHalves], isAfter: true, []),
            new(
                Weights[2], _samples, [laterSamples + Before[2], _starts[2] + Before[2], laterHalves + Before[2], _starts[3] + Before[2]],
                isAfter: true, []),
        ];
    }

    /// <summary>How many samples before a stretch's first must be known.</summary>
    public static int FramesBefore { get; } = Before.Sum();

    /// <summary>How many samples after a stretch's last must be known.</summary>
    public static int FramesAfter { get; } = After.Sum();

    /// <summary>
    /// No point between two samples is larger than the larger of the two plus so many times the largest second difference (x[n-1] - 2x[n] + x[n+1])
    /// of all samples from <see cref="FramesBefore"/> before to <see cref="FramesAfter"/> after. This is exact, not an estimate: each point is what lies on the straight line between its
    /// neighbours plus a filter over second differences, since the filters pass straight lines as they are; this is the largest sum of the magnitudes of that filter's taps.
    /// A billionth is added for rounding.
    /// </summary>
    public static double OvershootPerBend { get; } = LargestOvershootPerBend();

    /// <summary>Fills the points of a stretch.</summary>
    /// <param name="samples">From <see cref="FramesBefore"/> before the stretch's first to <see cref="FramesAfter"/> after its last; the stretch is at most <see cref="MaxFrames"/> long.</param>
    public void Raise(ReadOnlySpan<double> samples)
    {
        samples.CopyTo(Line(0));
        Line(0)[samples.Length..].Clear();
        _stages[0].Sum(0, Line(1));
        _stages[1].Sum(0, Line(2));
        _stages[1].Sum(1, Line(3));
        for (var plane = 0; plane < 4; plane++)
            _stages[2].Sum(plane, Line(4 + plane));
    }

    /// <summary>The points that lie so many eighths, 0 to 7, after each sample of the stretch just raised.</summary>
    public ReadOnlySpan<double> Points(int eighth, int frames) => eighth switch
    {
        0 => Line(0).Slice(FramesBefore, frames),
        4 => Line(1).Slice(Before[1] + Before[2], frames),
        2 => Line(2).Slice(Before[2], frames),
        6 => Line(3).Slice(Before[2], frames),
        1 => Line(4)[..frames],
        3 => Line(5)[..frames],
        5 => Line(6)[..frames],
        _ => Line(7)[..frames],
    };

    /// <summary>
    /// For each stretch of <see cref="MaxFrames"/> a level that none of its points can pass, whatever it would cost to work them out. Much of a song lies so far below its
    /// peaks that this is enough to know.
    /// </summary>
    /// <param name="samples">From <see cref="FramesBefore"/> before the first stretch to <see cref="FramesAfter"/> after the last.</param>
    /// <param name="bends">Room for one number for each started <see cref="MaxFrames"/> of the samples.</param>
    /// <param name="bounds">One for each stretch; the last may be shorter.</param>
    public static void Bounds(ReadOnlySpan<double> samples, Span<double> bends, Span<double> bounds)
    {
        // The bend at sample n is counted with sample n. The two at the ends are not known, and not needed.
        var bendCount = (samples.Length + MaxFrames - 1) / MaxFrames;
        for (var index = 0; index < bendCount; index++)
        {
            var first = Math.Max(1, index * MaxFrames);
            var end = Math.Min(samples.Length - 1, (index + 1) * MaxFrames);
            bends[index] = end > first ? LargestBend(samples[(first - 1)..(end + 1)]) : 0;
        }

        var frames = samples.Length - FramesBefore - FramesAfter;
        for (var index = 0; index < bounds.Length; index++)
        {
            var first = index * MaxFrames;
            var end = Math.Min(frames, first + MaxFrames);
            var bend = 0.0;
            for (var at = first / MaxFrames; at <= (end + FramesBefore + FramesAfter - 1) / MaxFrames; at++)
                bend = Math.Max(bend, bends[at]);
            bounds[index] = Peaks.Largest(samples.Slice(FramesBefore + first, end - first + 1)) + (OvershootPerBend * bend);
        }
    }

    private static double LargestBend(ReadOnlySpan<double> samples)
    {
        var count = samples.Length - 2;
        ref var start = ref MemoryMarshal.GetReference(samples);
        var lanes = Vector256<double>.Zero;
        var index = 0;
        for (; index + Vector256<double>.Count <= count; index += Vector256<double>.Count)
        {
            var middle = Vector256.LoadUnsafe(ref start, (nuint)index + 1);
            var bend = Vector256.Abs(Vector256.LoadUnsafe(ref start, (nuint)index) + Vector256.LoadUnsafe(ref start, (nuint)index + 2) - (middle + middle));
            lanes = Vector256.ConditionalSelect(Vector256.GreaterThan(bend, lanes), bend, lanes);
        }

        var largest = Math.Max(Math.Max(lanes[0], lanes[1]), Math.Max(lanes[2], lanes[3]));
        for (; index < count; index++)
            largest = Math.Max(largest, Math.Abs(samples[index] + samples[index + 2] - (samples[index + 1] + samples[index + 1])));
        return largest;
    }

    private Span<double> Line(int line) => _samples.AsSpan(_starts[line], _lengths[line]);

    private static int Whole(int frames) => (frames + 7) / 8 * 8;

    private static double LargestOvershootPerBend()
    {
        // Each point's taps, one by one, from the answers to an impulse.
        var interpolator = new TruePeakInterpolator();
        var reach = FramesBefore + FramesAfter + 1;
        var taps = new double[Factor, reach]; // tap j belongs to the sample j - FramesBefore after the point's own
        var samples = new double[FramesBefore + 1 + FramesAfter];
        for (var tap = 0; tap < reach; tap++)
        {
            samples[tap] = 1;
            interpolator.Raise(samples);
            samples[tap] = 0;
            for (var eighth = 0; eighth < Factor; eighth++)
                taps[eighth, tap] = interpolator.Points(eighth, 1)[0];
        }

        var largest = 0.0;
        for (var eighth = 0; eighth < Factor; eighth++)
        {
            taps[eighth, FramesBefore] -= 1 - (eighth / (double)Factor);
            taps[eighth, FramesBefore + 1] -= eighth / (double)Factor;

            // What is left has sum and first moment 0, so it is a filter over second differences: its taps summed up twice.
            var (once, twice, size) = (0.0, 0.0, 0.0);
            for (var tap = 0; tap < reach; tap++)
            {
                once += taps[eighth, tap];
                twice += once;
                size += Math.Abs(twice);
            }

            largest = Math.Max(largest, size);
        }

        return largest * (1 + 1e-9);
    }
}
