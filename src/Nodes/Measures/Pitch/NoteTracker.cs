using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Pitch;

/// <summary>
/// Which notes a part plays, one at a time, from 25 to 320 Hz. In windows of 120 ms, each 40 ms after the last, the normalised square difference function finds the period (P. McLeod and G. Wyvill,
/// "A smarter way to find pitch", 2005): its first key maximum at 0.9 of the highest, at a clarity of 0.85 or more; the same period a few times over makes it finer, and a fiftieth of the power must lie at the fundamental itself. Three windows in a row on one note are a stroke.
/// Memory does not grow with the song.
/// </summary>
internal sealed class NoteTracker
{
    /// <summary>The lowest and the highest fundamental that is looked for.</summary>
    public const double LowestHz = 25, HighestHz = 320;

    private const double WindowSeconds = 0.12, HopSeconds = 0.04, DutySeconds = 1;
    private const double Clarity = 0.85, KeyMaximum = 0.9;
    private const int LeastWindows = 3;
    private const double FundamentalShare = 0.02;

    // 60 dB under full scale, and 30 dB under the loudest so far: less is a tail or bleed.
    private const double QuietPower = 1e-6, QuietShare = 1e-3;

    private readonly double _sampleRateHz;
    private readonly int _windowFrames, _hopFrames, _lags;
    private readonly double[] _line, _nsdf;
    private readonly SortedDictionary<int, Heard> _heard = [];
    private int _count, _stroke, _midi, _dutyHops;
    private double _strokePeak, _strokeSeconds, _strokeCycles, _loudest, _dutySum, _dutyPeak, _meanSum, _peakSum;

    /// <summary>A tracker at rest.</summary>
    /// <param name="sampleRateHz">Of the low band.</param>
    public NoteTracker(double sampleRateHz)
    {
        _sampleRateHz = sampleRateHz;
        _hopFrames = (int)Math.Round(HopSeconds * sampleRateHz);
        _windowFrames = (int)Math.Round(WindowSeconds * sampleRateHz);
        _lags = (int)Math.Ceiling(sampleRateHz / LowestHz) + 2;
        _line = new double[_windowFrames];
        _nsdf = new double[_lags];
    }

    /// <summary>
    /// How much of each second the part fills: mean power over the power of its loudest 40 ms, weighted by power. A kick is at 0.1 to 0.3, a held bass above 0.5. Null if all is quiet.
    /// </summary>
    public double? FilledFraction => _peakSum > 0 ? _meanSum / _peakSum : null;

    /// <summary>Takes the next samples of the low band.</summary>
    public void Add(ReadOnlySpan<double> samples)
    {
        while (samples.Length > 0)
        {
            var taken = Math.Min(samples.Length, _windowFrames - _count);
            samples[..taken].CopyTo(_line.AsSpan(_count));
            samples = samples[taken..];
            _count += taken;
            if (_count < _windowFrames)
                return;
            Window();
            _line.AsSpan(_hopFrames).CopyTo(_line);
            _count -= _hopFrames;
        }
    }

    /// <summary>What was played, lowest first. Ends the last stroke.</summary>
    public IReadOnlyList<PlayedNote> Finish()
    {
        EndStroke();
        CloseSecond();
        return
        [
            .. _heard.Select(note => new PlayedNote(
                note.Key, note.Value.Cycles / note.Value.Seconds, note.Value.Count, note.Value.Seconds, Decibels.FromPower(note.Value.PeakPower / note.Value.Count))),
        ];
    }

    private void Window()
    {
        var power = Dot(_line, _line) / _windowFrames;
        var hopPower = Dot(_line.AsSpan(0, _hopFrames), _line.AsSpan(0, _hopFrames)) / _hopFrames;
        _dutySum += hopPower;
        _dutyPeak = Math.Max(_dutyPeak, hopPower);
        if (++_dutyHops * HopSeconds >= DutySeconds)
            CloseSecond();

        _loudest = Math.Max(_loudest, power);
        var frequencyHz = power >= QuietPower && power >= QuietShare * _loudest ? FrequencyOf() : null;
        if (frequencyHz is not { } heardHz)
        {
            EndStroke();
            return;
        }

        var midi = Note.NearestTo(heardHz).Midi;
        if (midi != _midi)
            EndStroke();
        _midi = midi;
        _stroke++;
        _strokePeak = Math.Max(_strokePeak, power);
        _strokeSeconds += HopSeconds;
        _strokeCycles += HopSeconds * heardHz;
    }

    private void CloseSecond()
    {
        if (_dutyHops > 0)
        {
            _meanSum += _dutySum / _dutyHops;
            _peakSum += _dutyPeak;
        }

        (_dutyHops, _dutySum, _dutyPeak) = (0, 0, 0);
    }

    private void EndStroke()
    {
        if (_stroke >= LeastWindows)
        {
            var heard = _heard.GetValueOrDefault(_midi);
            _heard[_midi] = new(heard.Count + 1, heard.Seconds + _strokeSeconds, heard.Cycles + _strokeCycles, heard.PeakPower + _strokePeak);
        }

        (_stroke, _midi, _strokePeak, _strokeSeconds, _strokeCycles) = (0, 0, 0, 0, 0);
    }

    private double? FrequencyOf()
    {
        // n(lag) = 2 sum x[i] x[i + lag] / sum (x[i]^2 + x[i + lag]^2)
        var energy = 2 * Dot(_line, _line);
        for (var lag = 0; lag < _lags; lag++)
        {
            if (lag > 0)
                energy -= (_line[lag - 1] * _line[lag - 1]) + (_line[^lag] * _line[^lag]);
            _nsdf[lag] = energy > 0 ? 2 * Dot(_line.AsSpan(0, _windowFrames - lag), _line.AsSpan(lag)) / energy : 0;
        }

        // One maximum between each rise through 0 and the next fall.
        var highest = 0.0;
        var start = 1;
        while (start < _lags && _nsdf[start] > 0)
            start++;
        for (var lag = start; lag < _lags - 1; lag++)
            highest = Math.Max(highest, IsMaximum(lag) ? Vertex(lag).Height : 0);
        if (highest < Clarity)
            return null;

        for (var lag = start; lag < _lags - 1; lag++)
        {
            if (!IsMaximum(lag) || Vertex(lag).Height < KeyMaximum * highest)
                continue;
            var period = Refined(Vertex(lag).Lag);
            var frequencyHz = _sampleRateHz / period;
            return frequencyHz is >= LowestHz and <= HighestHz && HasFundamental(frequencyHz) ? frequencyHz : null;
        }

        return null;
    }

    // A chord repeats as slowly as a note far below it that nobody plays: a fundamental has power of its own (Goertzel's filter).
    private bool HasFundamental(double frequencyHz)
    {
        var angle = 2 * Math.PI * frequencyHz / _sampleRateHz;
        var (cos, sin) = (PortableMath.Cos(angle), PortableMath.Sin(angle));
        var (last, before) = (0.0, 0.0);
        foreach (var sample in _line)
            (last, before) = (sample + (2 * cos * last) - before, last);
        var (real, imaginary) = (last - (before * cos), before * sin);
        return 2 * ((real * real) + (imaginary * imaginary)) / _windowFrames >= FundamentalShare * Dot(_line, _line);
    }

    private bool IsMaximum(int lag) => _nsdf[lag] > 0 && _nsdf[lag] >= _nsdf[lag - 1] && _nsdf[lag] > _nsdf[lag + 1];

    // The peak of a parabola through three values.
    private (double Lag, double Height) Vertex(int lag)
    {
        var (before, at, after) = (_nsdf[lag - 1], _nsdf[lag], _nsdf[lag + 1]);
        var (slope, bend) = (before - after, before - (2 * at) + after);
        return bend < 0 ? (lag + (0.5 * slope / bend), at - (slope * slope / (8 * bend))) : (lag, at);
    }

    // An error of the parabola counts half at twice the period, a third at three times.
    private double Refined(double period)
    {
        for (var times = 2; (period * times) + 3 < _lags; times++)
        {
            var expected = (int)Math.Round(period * times);
            var best = expected;
            for (var lag = expected - 1; lag <= expected + 1; lag++)
                best = _nsdf[lag] > _nsdf[best] ? lag : best;
            if (!IsMaximum(best) || _nsdf[best] < Clarity)
                break;
            period = Vertex(best).Lag / times;
        }

        return period;
    }

    private static double Dot(ReadOnlySpan<double> one, ReadOnlySpan<double> other)
    {
        // Four lanes on every machine: the same bits.
        var ones = MemoryMarshal.Cast<double, Vector256<double>>(one);
        var others = MemoryMarshal.Cast<double, Vector256<double>>(other[..one.Length]);
        var sums = Vector256<double>.Zero;
        for (var index = 0; index < ones.Length; index++)
            sums += ones[index] * others[index];
        var sum = sums[0] + sums[1] + (sums[2] + sums[3]);
        for (var index = ones.Length * Vector256<double>.Count; index < one.Length; index++)
            sum += one[index] * other[index];
        return sum;
    }

    private readonly record struct Heard(int Count, double Seconds, double Cycles, double PeakPower);
}
