using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp.Lanes;

namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// From one sample rate to another: every new frame is a sum of the old ones around it, weighted by a sinc in Kaiser's window, as it lies for the new frame's place
/// between two old ones. Linear phase without delay: the new frame n lies at n / to seconds. Flat to within 0.000001 dB up to <see cref="PassShare"/> of the lower rate's half
/// (20 kHz at 44.1 kHz), and what would fold back or be mirrored, from that half on, is <see cref="AttenuationDb"/> down. 0 Hz passes at unity.
/// It keeps no state: a frame depends on nothing but its place, so any part may be had in any order, by any number of threads.
/// </summary>
public sealed class RateConversion
{
    /// <summary>The lowest rate to come from or to go to.</summary>
    public const int LeastHz = 8_000;

    /// <summary>The highest.</summary>
    public const int MostHz = 384_000;

    /// <summary>How far down what must not pass lies.</summary>
    public const double AttenuationDb = 200;

    /// <summary>The pass band's part of half the lower rate.</summary>
    public const double PassShare = 0.916;

    // Each new frame is added up in so many sums that do not wait for each other.
    private const int PartialSums = 16;

    // 16 MiB of weights: every ratio of usual rates needs less. One that would need more gets rows on a grid and takes those between from them.
    private const long MostWeights = 1L << 21;

    // Rows of the grid for each frame of the lower rate. Third-order interpolation then errs by less than -200 dB.
    private const int GridRows = 512;

    [ThreadStatic]
    private static double[]? between;

    private readonly int _up, _down, _taps, _rows;
    private readonly bool _isOnGrid;
    private readonly double[] _weights;

    /// <param name="fromHz">The rate there is, <see cref="LeastHz"/> to <see cref="MostHz"/>.</param>
    /// <param name="toHz">The rate wanted, within the same bounds.</param>
    public RateConversion(int fromHz, int toHz)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(fromHz, LeastHz);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(fromHz, MostHz);
        ArgumentOutOfRangeException.ThrowIfLessThan(toHz, LeastHz);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(toHz, MostHz);
        (FromHz, ToHz) = (fromHz, toHz);
        var common = (int)BigInteger.GreatestCommonDivisor(fromHz, toHz);
        (_up, _down) = (toHz / common, fromHz / common);

        var lowerShare = Math.Min(1.0, (double)toHz / fromHz);
        var length = Kaiser.LengthSamples(AttenuationDb, (1 - PassShare) / 2 * lowerShare);
        _taps = (int)Math.Ceiling(length / PartialSums) * PartialSums;

        _isOnGrid = (long)_up * _taps > MostWeights;
        _rows = _isOnGrid ? (int)Math.Ceiling(GridRows * lowerShare) : _up;
        _weights = Design((1 + PassShare) / 4 * lowerShare);
    }

    /// <summary>The rate there is.</summary>
    public int FromHz { get; }

    /// <summary>The rate wanted.</summary>
    public int ToHz { get; }

    /// <summary>How far before and after its own place a new frame reaches, in old frames.</summary>
    public int ReachFrames => _taps / 2;

    /// <summary>New frames that so many old ones become: the last lies at or before the end of the last old one.</summary>
    public long LengthFrames(long fromFrames) => (long)((((Int128)fromFrames * _up) + _down - 1) / _down);

    /// <summary>The old frames that new ones are made from.</summary>
    public (long First, int Count) InputOf(long first, int count)
    {
        var earliest = FloorPlace(first) - ReachFrames + 1;
        return (earliest, (int)(FloorPlace(first + count - 1) + ReachFrames + 1 - earliest));
    }

    /// <summary>Makes new frames.</summary>
    /// <param name="input">Exactly the frames that <see cref="InputOf"/> tells.</param>
    /// <param name="first">The first new frame's number; not below 0.</param>
    /// <param name="output">One frame at least.</param>
    public void Convert(Signal input, long first, Signal output)
    {
        if (Vector512.IsHardwareAccelerated)
            Convert<Lanes8>(input, first, output);
        else if (Vector256.IsHardwareAccelerated)
            Convert<Lanes4>(input, first, output);
        else if (Vector128.IsHardwareAccelerated)
            Convert<Lanes2>(input, first, output);
        else
            Convert<Lanes1>(input, first, output);
    }

    private long FloorPlace(long frame) => (long)((Int128)frame * _down / _up);

    // New frames that lie alike between old ones share a row of weights: four sums at once take it from memory once.
    private void Convert<T>(Signal input, long first, Signal output)
        where T : unmanaged, IFormulaLanes<T>
    {
        if (_isOnGrid && (between is null || between.Length < _taps))
            between = new double[_taps];
        ref var row = ref MemoryMarshal.GetArrayDataReference(_isOnGrid ? between! : _weights);
        var phase = (int)((Int128)first * _down % _up);
        var at = 0;
        for (var earliest = 0; earliest < Math.Min(_up, output.Frames); earliest++)
        {
            if (_isOnGrid)
                Interpolate<T>(phase, ref row);
            else
                row = ref Unsafe.Add(ref MemoryMarshal.GetArrayDataReference(_weights), phase * _taps);

            for (var channel = 0; channel < output.Channels; channel++)
            {
                var from = input[channel];
                var into = output[channel];
                var (frame, place) = (earliest, at);
                for (; frame + (3L * _up) < into.Length; frame += 4 * _up, place += 4 * _down)
                    Sum<T>(ref row, ref MemoryMarshal.GetReference(from.Slice(place, (3 * _down) + _taps)), into[frame..]);
                for (; frame < into.Length; frame += _up, place += _down)
                    into[frame] = Sum<T>(ref row, ref MemoryMarshal.GetReference(from.Slice(place, _taps)));
            }

            phase += _down;
            at += phase / _up;
            phase %= _up;
        }
    }

    // The partial sum k takes the taps k, k + 16, k + 32 and so on, in lanes of any width; then they are added up in halves.
    private double Sum<T>(ref double row, ref double samples)
        where T : unmanaged, IFormulaLanes<T>
    {
        Span<double> sums = stackalloc double[PartialSums];
        ref var into = ref MemoryMarshal.GetReference(sums);
        for (var lane = 0; lane < PartialSums; lane += 2 * T.Count)
        {
            var (a, b) = (T.All(0), T.All(0));
            for (var tap = lane; tap < _taps; tap += PartialSums)
            {
                a += T.Load(ref row, tap) * T.Load(ref samples, tap);
                b += T.Load(ref row, tap + T.Count) * T.Load(ref samples, tap + T.Count);
            }

            T.Store(a, ref into, lane);
            T.Store(b, ref into, lane + T.Count);
        }

        return Total<T>(ref into);
    }

    // The same for four frames, each a whole turn of the phases after the last.
    private void Sum<T>(ref double row, ref double samples, Span<double> target)
        where T : unmanaged, IFormulaLanes<T>
    {
        Span<double> sums = stackalloc double[4 * PartialSums];
        ref var into = ref MemoryMarshal.GetReference(sums);
        ref var second = ref Unsafe.Add(ref samples, _down);
        ref var third = ref Unsafe.Add(ref second, _down);
        ref var fourth = ref Unsafe.Add(ref third, _down);
        for (var lane = 0; lane < PartialSums; lane += 2 * T.Count)
        {
            var (a, b, c, d) = (T.All(0), T.All(0), T.All(0), T.All(0));
            var (e, f, g, h) = (T.All(0), T.All(0), T.All(0), T.All(0));
            for (var tap = lane; tap < _taps; tap += PartialSums)
            {
                var next = tap + T.Count;
                var (weight, nextWeight) = (T.Load(ref row, tap), T.Load(ref row, next));
                a += weight * T.Load(ref samples, tap);
                b += nextWeight * T.Load(ref samples, next);
                c += weight * T.Load(ref second, tap);
                d += nextWeight * T.Load(ref second, next);
                e += weight * T.Load(ref third, tap);
                f += nextWeight * T.Load(ref third, next);
                g += weight * T.Load(ref fourth, tap);
                h += nextWeight * T.Load(ref fourth, next);
            }

            T.Store(a, ref into, lane);
            T.Store(b, ref into, lane + T.Count);
            T.Store(c, ref into, PartialSums + lane);
            T.Store(d, ref into, PartialSums + lane + T.Count);
            T.Store(e, ref into, (2 * PartialSums) + lane);
            T.Store(f, ref into, (2 * PartialSums) + lane + T.Count);
            T.Store(g, ref into, (3 * PartialSums) + lane);
            T.Store(h, ref into, (3 * PartialSums) + lane + T.Count);
        }

        for (var frame = 0; frame < 4; frame++)
            target[frame * _up] = Total<T>(ref Unsafe.Add(ref into, frame * PartialSums));
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static double Total<T>(ref double sums)
        where T : unmanaged, IFormulaLanes<T>
    {
        for (var half = PartialSums / 2; half > 0; half /= 2)
        {
            var lane = 0;
            for (; lane <= half - T.Count; lane += T.Count)
                T.Store(T.Load(ref sums, lane) + T.Load(ref sums, lane + half), ref sums, lane);
            for (; lane < half; lane++)
                Unsafe.Add(ref sums, lane) += Unsafe.Add(ref sums, lane + half);
        }

        return sums;
    }

    // Lagrange's polynomial through four rows of the grid, two on either side.
    private void Interpolate<T>(int phase, ref double into)
        where T : unmanaged, IFormulaLanes<T>
    {
        var place = (double)phase / _up * _rows;
        var whole = Math.Min((int)place, _rows - 1);
        var x = place - whole;
        var before = T.All(-x * (x - 1) * (x - 2) / 6);
        var here = T.All((x + 1) * (x - 1) * (x - 2) / 2);
        var next = T.All(-(x + 1) * x * (x - 2) / 2);
        var after = T.All((x + 1) * x * (x - 1) / 6);
        ref var rows = ref Unsafe.Add(ref MemoryMarshal.GetArrayDataReference(_weights), whole * _taps);
        for (var tap = 0; tap < _taps; tap += T.Count)
        {
            T.Store(
                (before * T.Load(ref rows, tap)) + (here * T.Load(ref rows, _taps + tap)) + (next * T.Load(ref rows, (2 * _taps) + tap)) + (after * T.Load(ref rows, (3 * _taps) + tap)),
                ref into, tap);
        }
    }

    /// <summary>The rows one after the other; of a grid, one more before the first and two more after the last.</summary>
    /// <param name="cutoff">The middle of the transition, in periods a frame of the old rate.</param>
    private double[] Design(double cutoff)
    {
        var beta = Kaiser.Beta(AttenuationDb);
        var firstRow = _isOnGrid ? -1 : 0;
        var weights = new double[(_isOnGrid ? _rows + 3 : _rows) * _taps];
        for (var index = 0; index < weights.Length / _taps; index++)
        {
            var row = weights.AsSpan(index * _taps, _taps);
            var sum = 0.0;
            for (var tap = 0; tap < _taps; tap++)
            {
                var distance = ((double)(firstRow + index) / _rows) + ReachFrames - 1 - tap;
                var place = distance / ReachFrames;
                if (Math.Abs(place) > 1)
                    continue;
                var sinc = distance == 0 ? 2 * cutoff : PortableMath.Sin(2 * PortableMath.Pi * cutoff * distance) / (PortableMath.Pi * distance);
                row[tap] = sinc * Kaiser.Window(beta, place);
                sum += row[tap];
            }

            // A constant passes at exactly unity, as near as rounding allows.
            for (var tap = 0; tap < _taps; tap++)
                row[tap] /= sum;
        }

        return weights;
    }
}
