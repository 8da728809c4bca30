using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>
/// Draws a limiter's reduction from what is needed at each frame. It reaches every need before its frame by a bend without corners (two running means in a row), holds it around the frame, and
/// gives back by a fixed time constant, whatever the programme. Counted in whole steps of 2^-20 dB, so that running sums stay exact for ever and no reduction is exactly none.
/// </summary>
/// <param name="attackFrames">How long it takes to arrive, at least 2.</param>
/// <param name="holdFrames">So long before and after the frame it stays.</param>
/// <param name="releaseFrames">Time to give back 63 %.</param>
internal sealed class ReductionCurve(int attackFrames, int holdFrames, double releaseFrames)
{
    /// <summary>Steps in a decibel.</summary>
    public const double StepsPerDb = 1 << 20;

    private readonly SlidingMaximum _held = new(attackFrames + (2 * holdFrames));
    private readonly RunningSum _first = new((attackFrames + 1) / 2);
    private readonly RunningSum _second = new(attackFrames + 1 - ((attackFrames + 1) / 2));
    private readonly double _kept = PortableMath.Exp2(-1 / (releaseFrames * Ln2));
    private readonly double _dbPerSum = 1 / (StepsPerDb * ((attackFrames + 1) / 2) * (attackFrames + 1 - ((attackFrames + 1) / 2)));

    private const double Ln2 = 0.6931471805599453;

    private double _falling;

    /// <summary>By how many frames the curve lies behind the needs that it is drawn from.</summary>
    public static int LatencyFrames(int attackFrames, int holdFrames) => attackFrames - 1 + holdFrames;

    /// <summary>Whether no need would leave everything as it is: no reduction now, and none to come.</summary>
    public bool IsAtRest => _falling == 0 && _first.Sum == 0 && _second.Sum == 0;

    /// <summary>Replaces needs, in whole steps, by the curve in dB.</summary>
    public void Draw(Span<double> steps)
    {
        foreach (ref var step in steps)
        {
            _falling = Math.Max(_held.Next(step), Math.Floor(_falling * _kept));
            step = _second.Next(_first.Next((long)_falling)) * _dbPerSum;
        }
    }

    private sealed class RunningSum(int length)
    {
        private readonly long[] _terms = new long[length];
        private int _oldest;

        public long Sum { get; private set; }

        public long Next(long term)
        {
            Sum += term - _terms[_oldest];
            _terms[_oldest] = term;
            _oldest = _oldest + 1 == length ? 0 : _oldest + 1;
            return Sum;
        }
    }
}
