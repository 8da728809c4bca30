using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace RenderGraph.Nodes.Dsp.Lanes;

/// <summary>Sections in a row at work on one vector's worth of planes: what a <see cref="SectionBank"/> and a <see cref="SectionCascade"/> are made of.</summary>
internal abstract class SectionStrip
{
    /// <summary>Samples of one frame, a lane each.</summary>
    public abstract int LaneCount { get; }

    /// <summary>Whether every state is exactly 0: silence in gives silence out.</summary>
    public abstract bool IsAtRest { get; }

    /// <summary>Filters samples in place.</summary>
    /// <param name="lanes">Frame by frame, <see cref="LaneCount"/> each, up to the next multiple of <see cref="SectionBank.FlushFrames"/>.</param>
    /// <param name="settleFirst">States that have died away are set to 0 before: the first frame's place is a multiple of <see cref="SectionBank.FlushFrames"/>.</param>
    public abstract void Run(Span<double> lanes, bool settleFirst);

    /// <summary>Filters the samples of both, as <see cref="Run"/> would each: while one section waits for its own last frame, the other's works.</summary>
    public abstract void RunBeside(Span<double> lanes, SectionStrip other, Span<double> otherLanes, bool settleFirst);

    /// <summary>Whether the two can, and gain by it: two sections in a row already work side by side.</summary>
    public abstract bool CanRunBeside(SectionStrip other);
}

/// <summary>The strip of one width.</summary>
internal sealed class SectionStrip<T> : SectionStrip where T : unmanaged, ILanes<T>
{
    private readonly Coefficients[] _coefficients;
    private readonly State[] _states;

    /// <summary>A strip at rest. It allocates nothing after this.</summary>
    /// <param name="planes">The sections of each lane, equally many; lanes past the last give silence.</param>
    public SectionStrip(IReadOnlyList<IReadOnlyList<Section>> planes)
    {
        _coefficients = [.. Enumerable.Range(0, planes[0].Count).Select(index => new Coefficients(planes, index))];
        _states = new State[_coefficients.Length];
    }

    /// <inheritdoc/>
    public override int LaneCount => T.Count;

    /// <inheritdoc/>
    public override bool IsAtRest => !MemoryMarshal.Cast<State, double>(_states).ContainsAnyExcept(0.0);

    /// <inheritdoc/>
    public override void Run(Span<double> lanes, bool settleFirst)
    {
        if (settleFirst)
            Settle();
        var frames = MemoryMarshal.Cast<double, T>(lanes);
        var index = 0;
        for (; index + 1 < _states.Length; index += 2)
            RunTwo(frames, in _coefficients[index], ref _states[index], in _coefficients[index + 1], ref _states[index + 1]);
        if (index < _states.Length)
            RunOne(frames, in _coefficients[index], ref _states[index]);
    }

    /// <inheritdoc/>
    public override void RunBeside(Span<double> lanes, SectionStrip other, Span<double> otherLanes, bool settleFirst)
    {
        var neighbour = (SectionStrip<T>)other;
        if (settleFirst)
        {
            Settle();
            neighbour.Settle();
        }

        RunTwoBeside(
            MemoryMarshal.Cast<double, T>(lanes), in _coefficients[0], ref _states[0],
            MemoryMarshal.Cast<double, T>(otherLanes), in neighbour._coefficients[0], ref neighbour._states[0]);
    }

    /// <inheritdoc/>
    public override bool CanRunBeside(SectionStrip other) => other is SectionStrip<T> { _states.Length: 1 } && _states.Length == 1;

    private void Settle()
    {
        foreach (ref var state in _states.AsSpan())
            state = new(T.Settle(state.Band, SectionBank.RestAmplitude), T.Settle(state.Low, SectionBank.RestAmplitude));
    }

    private static void RunTwoBeside(
        Span<T> ones, in Coefficients oneCoefficients, ref State oneState, Span<T> others, in Coefficients otherCoefficients, ref State otherState)
    {
        var (ofOne, one) = (oneCoefficients, oneState);
        var (ofOther, other) = (otherCoefficients, otherState);
        others = others[..ones.Length];
        for (var frame = 0; frame < ones.Length; frame++)
        {
            ones[frame] = Step(in ofOne, ref one, ones[frame]);
            others[frame] = Step(in ofOther, ref other, others[frame]);
        }

        (oneState, otherState) = (one, other);
    }

    private static void RunOne(Span<T> frames, in Coefficients coefficients, ref State state)
    {
        var (of, at) = (coefficients, state);
        foreach (ref var sample in frames)
            sample = Step(in of, ref at, sample);
        state = at;
    }

    // Two sections on their way together: the second works on a frame while the first begins the next, so neither waits for the other.
    private static void RunTwo(
        Span<T> frames, in Coefficients firstCoefficients, ref State firstState, in Coefficients secondCoefficients, ref State secondState)
    {
        var (ofFirst, first) = (firstCoefficients, firstState);
        var (ofSecond, second) = (secondCoefficients, secondState);
        foreach (ref var sample in frames)
            sample = Step(in ofSecond, ref second, Step(in ofFirst, ref first, sample));
        (firstState, secondState) = (first, second);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static T Step(in Coefficients of, ref State at, T x)
    {
        var (band, low) = (at.Band, at.Low);
        var difference = x - low;
        at = new(
            band + ((of.BandDrive * difference) - (of.BandLoss * band)),
            low + ((of.BandDrive * band) + (of.LowDrive * difference)));
        return (of.InputOut * x) + ((of.BandOut * band) + (of.LowOut * low));
    }

    private readonly record struct State(T Band, T Low);

    private readonly struct Coefficients(IReadOnlyList<IReadOnlyList<Section>> planes, int index)
    {
        public readonly T BandDrive = Across(planes, index, section => section.BandDrive);
        public readonly T BandLoss = Across(planes, index, section => section.BandLoss);
        public readonly T LowDrive = Across(planes, index, section => section.LowDrive);
        public readonly T InputOut = Across(planes, index, section => section.InputOut);
        public readonly T BandOut = Across(planes, index, section => section.BandOut);
        public readonly T LowOut = Across(planes, index, section => section.LowOut);

        // A lane without a plane has zeros only, and whatever is left in it becomes silence.
        private static T Across(IReadOnlyList<IReadOnlyList<Section>> planes, int index, Func<Section, double> number)
        {
            Span<double> numbers = stackalloc double[T.Count];
            numbers.Clear();
            for (var lane = 0; lane < planes.Count; lane++)
                numbers[lane] = number(planes[lane][index]);
            return MemoryMarshal.Cast<double, T>(numbers)[0];
        }
    }
}
